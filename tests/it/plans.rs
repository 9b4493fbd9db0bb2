//! Plans of random orders: what is shown adds up, what is needed is what the cards say, what is bought covers what is
//! short, and every figure can be worked again.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use herl::bench::{self, Bench};
use herl::diagnostic::{At, Told};
use herl::dressing::{Order, OrderLine, Size, Tied};
use herl::measure::Unit;
use herl::plan::{self, Finished, Given, OnHand, Past, Plan, Stock, Wish};
use herl::reckon::own_times::Timed;
use herl::why::{Fig, Standing, cross};
use proptest::prelude::*;
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

static DEMO: LazyLock<Bench> = LazyLock::new(|| bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo")).bench);

fn told<T>(value: T) -> Told<T> {
    Told::new(value, At::file(PathBuf::from("orders/tried.yaml")))
}

fn order(lines: Vec<OrderLine>) -> Order {
    Order {
        name: told("Tried".to_owned()),
        customer: None,
        wanted: Some(told(jiff::civil::date(2027, 4, 1))),
        post_days: Some(told(Decimal::TWO)),
        postage: None,
        tied: None,
        extras: Vec::new(),
        customer_sends: Vec::new(),
        lines,
        note: None,
    }
}

fn line(dressing: &str, sizes: &[(&Size, u32)], rejects: Option<Decimal>) -> OrderLine {
    OrderLine {
        dressing: told(dressing.to_owned()),
        sizes: sizes.iter().map(|(size, flies)| (told((*size).clone()), told(*flies))).collect(),
        variant: None,
        hook: None,
        price: None,
        rejects: rejects.map(told),
        extras: Vec::new(),
        instead: Default::default(),
    }
}

fn given() -> Given {
    Given { habits: DEMO.habits.clone(), today: Some(jiff::civil::date(2027, 1, 18)), ..Given::default() }
}

fn work(order: &Order, given: &Given) -> Plan {
    plan::work(order, &DEMO.dressings, &DEMO.shelf, given).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

/// A dressing of the demo bench and one of its sizes, by two numbers.
fn nth(dressing: usize, size: usize) -> (&'static str, &'static Size) {
    let (name, dressing) = DEMO.dressings.get_index(dressing % DEMO.dressings.len()).unwrap();
    (name, &dressing.sizes[size % dressing.sizes.len()].value)
}

/// Everything that must hold of any plan.
fn hold(plan: &Plan) {
    let value = |fig: Fig| plan.figures.value(fig);
    let some = |fig: Option<Fig>| fig.map(value).unwrap_or_default();
    let all = &plan.totals;
    let heads = value(all.materials) + value(all.labour) + value(all.overhead) + some(all.consumables) + some(all.packing) + some(all.postage);
    assert_eq!(heads + value(all.rounding), value(all.cost), "the heads and their rounding are the cost");
    let lines: Decimal = plan.materials.iter().map(|line| some(line.cost)).sum();
    assert_eq!(lines + value(all.materials_rounding), value(all.materials), "the materials' lines and their rounding are the materials");
    let runs: Decimal = plan.runs.iter().map(|run| value(run.cost)).sum();
    let rounding = value(plan.figures.find("order.runs.rounding").unwrap());
    assert_eq!(runs + some(all.packing) + some(all.postage) + rounding, value(all.cost), "the runs and what comes once are the cost");
    let digits = plan.currency.digits();
    for fig in [all.cost, all.materials, all.labour, all.overhead, all.cost_a_fly, all.cost_a_dozen].into_iter().chain(all.price) {
        assert_eq!(value(fig).round_dp(digits), value(fig), "{} is in minor units", plan.figures.key(fig));
    }
    if let Some(price) = all.price {
        assert_eq!(plan.runs.iter().map(|run| some(run.price)).sum::<Decimal>(), value(price));
    }
    // No sum is off by more than half a minor unit a line.
    assert!(value(all.rounding).abs() <= Decimal::new(5, digits + 1) * Decimal::from(7));
    for (nth, run) in plan.runs.iter().enumerate() {
        let (to_tie, tied, lay_out) = (value(run.to_tie), value(run.tied), value(run.lay_out));
        assert!(to_tie <= value(run.flies) && to_tie <= tied && tied <= lay_out.max(tied) && to_tie <= lay_out, "{}", run.key);
        if let (Some((low, high)), Some(hours)) = (run.hours_range, run.hours) {
            assert!(value(low) <= value(hours) && value(hours) <= value(high), "{}", run.key);
        }
        // Needs are the card's, fly by fly: reckoned here apart from the plan.
        for line in plan.materials.iter().filter(|line| line.runs == [nth] && !line.stock_key().starts_with("hook ")) {
            let needs = run.card.needs.iter().filter(|need| {
                let sized = need.size.as_ref().map_or_else(|| need.material.clone(), |size| format!("{} {size}", need.material));
                sized == line.stock_key() && run.card.sheet.at(need.amount).unit == line.unit
            });
            let a_fly: Decimal = needs.map(|need| cross(run.card.sheet.value(need.amount)).unwrap()).sum();
            assert_eq!(value(line.amount), tied * a_fly, "{}: {}", run.key, line.key);
            assert_eq!(value(line.lay_out), lay_out * a_fly, "{}: {}", run.key, line.key);
        }
    }
    if let Some(buying) = &plan.buying {
        let mut sum = Decimal::ZERO;
        for parcel in &buying.parcels {
            let goods: Decimal = parcel.lines.iter().map(|line| value(line.cost)).sum();
            assert_eq!(goods, value(parcel.goods));
            assert_eq!(goods + some(parcel.carriage), value(parcel.sum));
            sum += value(parcel.sum);
            for line in &parcel.lines {
                assert!(value(line.left) >= Decimal::new(-1, 6), "{} is covered: {}", line.material, value(line.left));
            }
        }
        assert_eq!(sum, value(buying.sum));
        // The search is ended after so many nodes; what it has found then lies near what it has proved.
        let near = |bound: Fig| value(bound) <= value(buying.sum) && value(bound) * Decimal::new(105, 2) >= value(buying.sum);
        assert!(buying.bound.is_none_or(near), "{:?} of {}", buying.bound.map(value), value(buying.sum));
    }
    if let Some(chart) = &plan.chart {
        let worked: Decimal = chart.days.iter().flat_map(|day| &day.work).map(|(_, hours)| value(*hours)).sum();
        // Each stretch is laid out in whole seconds.
        assert!((worked - value(all.hours)).abs() < Decimal::new(1, 2) * Decimal::from(plan.runs.len()), "{worked} of {}", value(all.hours));
        for day in &chart.days {
            let hours: Decimal = day.work.iter().map(|(_, hours)| value(*hours)).sum();
            assert!(hours <= value(day.there) + Decimal::new(1, 6), "{}", day.date);
        }
        assert!(chart.runs.iter().all(|laid| laid.begun <= laid.ready && laid.ready <= chart.ready));
    }
    for (fig, key, row) in plan.figures.rows() {
        if let Some(again) = plan.figures.again(fig) {
            assert_eq!(again, row.value, "{key} works again");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_ordered_adds_up(
        lines in prop::collection::vec((0_usize..100, 0_usize..10, 1_u32..60, prop::option::of(0_u32..40)), 1..8),
        stages in any::<bool>(), flies_there in 0_u32..30, share_there in 0_u32..150, rate in prop::option::of(0_u32..60),
    ) {
        let all = lines.iter().map(|(dressing, size, flies, rejects)| {
            let (name, size) = nth(*dressing, *size);
            line(name, &[(size, *flies)], rejects.map(|percent| Decimal::new(percent.into(), 2)))
        }).collect();
        let mut order = order(all);
        order.tied = stages.then(|| told(Tied::ByStages));
        let mut given = given();
        given.wish = Wish { rate: rate.map(Decimal::from), ..Wish::default() };
        let first = work(&order, &given);
        hold(&first);
        // The same with something in the stores.
        let mut stock = Stock::default();
        for line in &first.materials {
            let amount = first.figures.value(line.lay_out) * Decimal::new(share_there.into(), 2);
            stock.on_hand.insert(line.stock_key().to_owned(), OnHand { amount, unit: line.unit, from: "counted".to_owned() });
        }
        let (name, size) = nth(lines[0].0, lines[0].1);
        stock.finished.push(Finished { dressing: name.to_owned(), size: size.clone(), variant: None, flies: flies_there });
        given.stock = stock;
        let second = work(&order, &given);
        hold(&second);
        if share_there >= 100 && flies_there == 0 {
            prop_assert!(second.buying.is_none(), "nothing is bought where all is there");
        }
        let drawn: Decimal = second.runs.iter().filter_map(|run| run.drawer).map(|fig| second.figures.value(fig)).sum();
        prop_assert!(drawn <= Decimal::from(flies_there), "no more is taken from the drawer than lies in it");
    }
}

#[test]
fn a_history_of_passes_widens_or_narrows_what_is_laid_out() {
    let (name, size) = nth(0, 0);
    let order = order(vec![line(name, &[(size, 36)], None)]);
    let with = |made: u32, rejected: u32, times: Vec<Timed>| {
        let mut given = given();
        given.stock.past = vec![Past { dressing: name.to_owned(), size: size.clone(), made, rejected, times }];
        work(&order, &given)
    };
    let laid = |plan: &Plan| plan.figures.value(plan.runs[0].lay_out);
    let (little, much) = (with(20, 1, Vec::new()), with(2000, 100, Vec::new()));
    assert!(laid(&little) > laid(&much), "{} {}", laid(&little), laid(&much));
    // A vast history is as good as a known share: 40 of 36 at one in twenty.
    assert_eq!(laid(&with(2_000_000, 100_000, Vec::new())), Decimal::from(40));
    assert_eq!(little.figures.at(little.runs[0].rejects.unwrap()).standing, Standing::Published.max(Standing::Learnt));
    hold(&little);
    // Own times lean from the stated one to their own as they grow in number.
    let stated = work(&order, &given());
    let seconds = |plan: &Plan| plan.figures.value(plan.runs[0].seconds_a_fly.unwrap());
    let timed = |flies: u32| (1..=flies).map(|n| Timed { number: f64::from(n), time: 120.0 }).collect();
    let (few, many) = (with(3, 0, timed(3)), with(60, 0, timed(60)));
    assert!(seconds(&many) < seconds(&few) && seconds(&few) < seconds(&stated), "{} {} {}", seconds(&many), seconds(&few), seconds(&stated));
    hold(&many);
}

#[test]
fn another_size_lends_its_times_and_the_plan_says_so() {
    let (name, dressing) = DEMO.dressings.iter().find(|(_, dressing)| dressing.sizes.len() > 1).unwrap();
    let (of, size) = (&dressing.sizes[0].value, &dressing.sizes[1].value);
    let mut given = given();
    let times = (1..=8).map(|n| Timed { number: f64::from(n), time: 200.0 }).collect();
    given.stock.past = vec![Past { dressing: name.clone(), size: of.clone(), made: 8, rejected: 0, times }];
    let plan = work(&order(vec![line(name, &[(size, 12)], None)]), &given);
    let row = plan.figures.find(&format!("{}.own 1.time", plan.runs[0].key)).map(|fig| plan.figures.at(fig)).unwrap();
    assert_eq!(row.standing, Standing::Interpolated);
    assert!(matches!(&row.origin, herl::why::Origin::Given { from } if from.to_string().contains(&format!("size {of}"))));
}

#[test]
fn by_stages_takes_longer_and_leaves_finished_flies() {
    let (name, size) = nth(0, 0);
    let mut order = order(vec![line(name, &[(size, 36)], Some(Decimal::new(5, 2)))]);
    let one_by_one = work(&order, &given());
    order.tied = Some(told(Tied::ByStages));
    let by_stages = work(&order, &given());
    let value = |plan: &Plan, fig: Fig| plan.figures.value(fig);
    assert!(one_by_one.runs[0].surplus.is_none());
    // 40 started at one in twenty: 38 pass on the average, 2 beyond what is wanted.
    assert_eq!(value(&by_stages, by_stages.runs[0].tied), Decimal::from(40));
    assert_eq!(value(&by_stages, by_stages.runs[0].surplus.unwrap()), Decimal::TWO);
    assert!(value(&by_stages, by_stages.totals.hours) > value(&one_by_one, one_by_one.totals.hours));
}

#[test]
fn a_tax_on_top_is_paid_unless_the_bench_gets_it_back() {
    let (name, size) = nth(0, 0);
    let order = order(vec![line(name, &[(size, 36)], None)]);
    let mut given = given();
    let plain = work(&order, &given);
    given.habits.tax = Some(told(Decimal::new(2, 1)));
    let taxed = work(&order, &given);
    let materials = |plan: &Plan| plan.figures.value(plan.figures.find("order.materials-exact").unwrap());
    // Every supplier of the demo bench charges 20 %, in the price or on top of it.
    let ratio = materials(&plain) / materials(&taxed);
    assert!((ratio - Decimal::new(12, 1)).abs() < Decimal::new(1, 9), "{ratio}");
    assert_eq!(plain.figures.value(plain.buying.as_ref().unwrap().sum), taxed.figures.value(taxed.buying.as_ref().unwrap().sum), "the parcels cost the same");
}

#[test]
fn what_would_earn_the_rate_earns_it() {
    let (name, size) = nth(0, 0);
    let mut order = order(vec![line(name, &[(size, 12)], None)]);
    let plan = work(&order, &given());
    let price = plan.figures.value(plan.runs[0].price_at_rate.unwrap());
    order.lines[0].price = Some(told(herl::dressing::Price { sum: price, flies: 12 }));
    let plan = work(&order, &given());
    let earns = plan.figures.value(plan.runs[0].earns.unwrap());
    let rate = plan.figures.value(plan.figures.find("rate").unwrap());
    assert!((earns - rate).abs() < Decimal::new(2, 2), "{earns} of {rate}");
    assert_eq!(plan.figures.at(plan.runs[0].earns.unwrap()).unit, Unit::MoneyAnHour);
}
