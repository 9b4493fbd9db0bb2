//! Stock: quantities, plans by period, one season, reorder points, both together, and what is seldom asked for.

use crate::rows::agree;
use herl::reckon::inventory::quantity::{Break, Order, eoq, for_all_units, whole, with_backorders, with_making};
use herl::reckon::inventory::reorder::{by_service, by_share_filled, one_by_one, over_lead};
use herl::reckon::inventory::season::{self, Costs};
use herl::reckon::inventory::{Demand, both, periods, seldom};
use serde_json::Value;

fn records(part: &str, count: usize) -> Vec<Value> {
    let file: Value = serde_json::from_str(include_str!("data/inventory.json")).unwrap();
    let list = file[part].as_array().unwrap().clone();
    assert_eq!(list.len(), count, "records of {part}");
    list
}

fn figure(record: &Value, key: &str) -> f64 {
    record[key].as_f64().unwrap_or_else(|| panic!("no figure {key}"))
}

fn figures(record: &Value, key: &str) -> Vec<f64> {
    record[key].as_array().unwrap_or_else(|| panic!("no figures {key}")).iter().map(|figure| figure.as_f64().unwrap()).collect()
}

/// The examples and problems of Snyder and Shen, chapter 3, and some in whole units.
#[test]
fn every_order_quantity() {
    for record in records("eoq", 11) {
        let [demand, order] = ["demand_rate", "fixed_cost"].map(|key| figure(&record, key));
        let holding = || figure(&record, "holding_cost");
        let kind = record["kind"].as_str().unwrap();
        let best: Option<Order> = match kind {
            "EOQ" => eoq(demand, order, holding()),
            "EPQ" => with_making(demand, order, holding(), figure(&record, "production_rate")),
            "EOQ with backorders" => {
                let late = with_backorders(demand, order, holding(), figure(&record, "stockout_cost")).unwrap();
                agree(kind, Some(late.waiting), figure(&record, "stockout_fraction"), 1e-12);
                Some(late.order)
            }
            "EOQ with all-units price breaks" => {
                let breaks: Vec<Break> =
                    figures(&record, "breakpoints").into_iter().zip(figures(&record, "unit_costs")).map(|(from, price)| Break { from, price }).collect();
                for_all_units(demand, order, figure(&record, "holding_cost_rate"), &breaks)
            }
            _ => whole(demand, order, holding()),
        };
        agree(kind, best.map(|best| best.quantity), figure(&record, "Q"), 1e-12);
        agree(kind, best.map(|best| best.cost), figure(&record, "cost_per_time"), 1e-12);
    }
}

#[test]
fn every_plan_by_period() {
    for record in records("wagner_whitin", 4) {
        let prices = record.get("purchase_cost").map(|_| figures(&record, "purchase_cost")).unwrap_or_default();
        let plan = periods::cheapest(&figures(&record, "demand"), figure(&record, "fixed_cost"), figure(&record, "holding_cost"), &prices).unwrap();
        assert_eq!(plan.orders, figures(&record, "orders"), "{}", record["name"]);
        agree("cost", Some(plan.cost), figure(&record, "cost"), 1e-12);
    }
}

#[test]
fn every_season() {
    for record in records("newsvendor", 9) {
        let what = record["name"].as_str().unwrap();
        let costs = match record.get("revenue") {
            None => Costs { over: figure(&record, "holding_cost"), short: figure(&record, "stockout_cost") },
            Some(_) => Costs::of_goods(figure(&record, "revenue"), figure(&record, "purchase_cost"), figure(&record, "salvage_value")).unwrap(),
        };
        let stock = match record["kind"].as_str().unwrap() {
            "poisson" => season::poisson(costs, figure(&record, "demand_mean")),
            "discrete" => {
                let listed = record["demand_pmf"].as_object().unwrap();
                let listed: Vec<(f64, f64)> = listed.iter().map(|(value, share)| (value.parse().unwrap(), share.as_f64().unwrap())).collect();
                season::listed(costs, &listed)
            }
            _ => {
                agree(what, costs.ratio(), figure(&record, "critical_ratio"), 1e-14);
                season::normal(costs, Demand { mean: figure(&record, "demand_mean"), sd: figure(&record, "demand_sd") })
            }
        }
        .unwrap();
        agree(what, Some(stock.stock), figure(&record, "S"), 1e-12);
        match record.get("profit") {
            None => agree(what, Some(stock.cost), figure(&record, "cost"), 1e-10),
            // What all demand would earn, less what leavings and lacks cost.
            Some(profit) => agree(what, Some(costs.short * figure(&record, "demand_mean") - stock.cost), profit.as_f64().unwrap(), 1e-12),
        }
    }
}

/// The other program's best pairs are only as near as its search goes: the cost agrees to 1e-9, the pair to 1e-4 of the
/// quantity. The exact cost of each of its pairs agrees to the last digits.
#[test]
fn every_point_and_quantity() {
    for record in records("rq", 5) {
        let what = record["name"].as_str().unwrap();
        let terms = both::Terms {
            demand: figure(&record, "demand_mean"),
            order: figure(&record, "fixed_cost"),
            holding: figure(&record, "holding_cost"),
            short: figure(&record, "stockout_cost"),
        };
        if record.get("r").is_some() {
            let (point, quantity, cost) = terms.one_by_one(terms.demand * figure(&record, "lead_time")).unwrap();
            assert_eq!((point as f64, f64::from(quantity)), (figure(&record, "r"), figure(&record, "Q")), "{what}");
            agree(what, Some(cost), figure(&record, "cost"), 1e-12);
            continue;
        }
        let lead = over_lead(Demand { mean: terms.demand, sd: figure(&record, "demand_sd") }, figure(&record, "lead_time"), 0.0).unwrap();
        agree(what, Some(lead.mean), figure(&record, "lead_mean"), 1e-12);
        agree(what, Some(lead.sd), figure(&record, "lead_sd"), 1e-12);
        let near = |got: both::Pair, point: f64, quantity: f64, within: f64| {
            assert!(
                (got.point - point).abs() <= within * quantity && (got.quantity - quantity).abs() <= within * quantity,
                "{what}: {got:?} {point} {quantity}"
            );
        };
        let best = terms.best(lead).unwrap();
        near(best, figure(&record, "exact_r"), figure(&record, "exact_Q"), 1e-4);
        agree(what, terms.cost(lead, best), figure(&record, "exact_cost"), 1e-9);
        let pair = |key: &str| {
            let both = figures(&record, key);
            (both[0], both[1])
        };
        let (point, quantity) = pair("eoq_plus_safety_r_Q");
        near(terms.with_safety(lead).unwrap(), point, quantity, 1e-12);
        agree(what, terms.cost(lead, both::Pair { point, quantity }), figure(&record, "cost_of_eoq_plus_safety"), 1e-9);
        let (point, quantity) = pair("eoqb_r_Q");
        near(terms.with_backorders(lead).unwrap(), point, quantity, 1e-4);
        agree(what, terms.cost(lead, both::Pair { point, quantity }), figure(&record, "cost_of_eoqb"), 1e-9);
        let (point, quantity) = pair("loss_function_r_Q");
        near(terms.by_losses(lead).unwrap(), point, quantity, 1e-5);
        let eil = figures(&record, "eil_r_Q_cost");
        let (got, cost) = terms.by_mean_stock(lead).unwrap();
        near(got, eil[0], eil[1], 1e-5);
        agree(what, Some(cost), eil[2], 1e-9);
    }
}

#[test]
fn every_reorder_point() {
    for record in records("reorder_poisson", 18) {
        let (mean, service) = (figure(&record, "mean"), figure(&record, "cycle_service"));
        let (point, lacking) = one_by_one(mean, service).unwrap();
        assert_eq!(point as f64, figure(&record, "reorder_poisson"), "{mean} {service}");
        agree("lacking", Some(lacking), figure(&record, "expected_short_poisson"), 1e-10);
        let normal = by_service(Demand { mean, sd: mean.sqrt() }, service).unwrap();
        agree("point", Some(normal.point), figure(&record, "reorder_normal"), 1e-12);
        agree("safety", Some(normal.safety), figure(&record, "safety_normal"), 1e-12);
    }
    for record in records("variable_lead", 15) {
        let demand = Demand { mean: figure(&record, "demand_mean"), sd: figure(&record, "demand_sd") };
        let lead = over_lead(demand, figure(&record, "lead_mean"), figure(&record, "lead_sd")).unwrap();
        agree("mean", Some(lead.mean), figure(&record, "lead_demand_mean"), 1e-12);
        agree("deviation", Some(lead.sd), figure(&record, "lead_demand_sd"), 1e-12);
        let point = by_service(lead, figure(&record, "cycle_service")).unwrap();
        agree("point", Some(point.point), figure(&record, "reorder"), 1e-12);
        agree("safety", Some(point.safety), figure(&record, "safety"), 1e-12);
    }
    for record in records("fill_rate", 4) {
        let lead = Demand { mean: figure(&record, "lead_mean"), sd: figure(&record, "lead_sd") };
        let point = by_share_filled(lead, figure(&record, "Q"), figure(&record, "fill_rate")).unwrap();
        agree("k", Some(point.safety / lead.sd), figure(&record, "k"), 1e-11);
        agree("point", Some(point.point), figure(&record, "reorder"), 1e-12);
        agree("lacking", lead.lacking(point.point), figure(&record, "expected_short"), 1e-12);
    }
}

#[test]
fn every_seldom_demand() {
    for record in records("croston", 6) {
        let forecast = seldom::croston(&figures(&record, "demand"), figure(&record, "alpha")).unwrap();
        for (key, got) in [("croston", forecast.plain), ("sba", forecast.corrected)] {
            let wanted = record[key].as_array().unwrap();
            assert_eq!(wanted.len(), got.len());
            for (wanted, got) in wanted.iter().zip(got) {
                match wanted.as_f64() {
                    None => assert_eq!(got, None),
                    Some(wanted) => agree(key, got, wanted, 1e-12),
                }
            }
        }
    }
}

/// Heizer and Render, *Operations Management*, example 12.3: 1,000 a year, 10 an order, 0.50 to hold: 200; with 1,200 a year 219.
#[test]
fn a_printed_quantity() {
    assert_eq!(eoq(1000.0, 10.0, 0.5), Some(Order { quantity: 200.0, cost: 100.0 }));
    assert_eq!(format!("{:.0}", eoq(1200.0, 10.0, 0.5).unwrap().quantity), "219");
}

/// Chase and Jacobs, *Operations and Supply Chain Management*, the retailers' warehouse: 2,400 a year, 5 an order, 4 to hold: 77.46; 4 a day of deviation, seven days of lead, z 2.05, a mean
/// of 46.03 in the lead time: 10.583 of deviation, 67.72, so 68 (printed 67.73).
#[test]
fn a_printed_reorder_point() {
    assert_eq!(format!("{:.2}", eoq(2400.0, 5.0, 4.0).unwrap().quantity), "77.46");
    let daily = Demand { mean: 2400.0 / 365.0, sd: 4.0 };
    let lead = over_lead(daily, 7.0, 0.0).unwrap();
    assert_eq!(format!("{:.2} {:.3}", lead.mean, lead.sd), "46.03 10.583");
    let service = herl::reckon::chance::normal(2.05).unwrap();
    let point = by_service(lead, service).unwrap();
    assert_eq!(format!("{:.2}", point.point), "67.72");
    assert_eq!(point.point.ceil(), 68.0);
}

/// A worked problem of continuous review ("Buckeye", nursingexpertshelp.com): 14,000 a year of 52 weeks, 320 an order, 4 to hold, 120 a week
/// of deviation, three weeks of lead, 95 %: 1,497; 342 for safety; 1,150; 2,992.65 and 2,994.00 a year (at 1,497).
#[test]
fn a_printed_continuous_review() {
    let best = whole(14_000.0, 320.0, 4.0).unwrap();
    assert_eq!(best.quantity, 1497.0);
    assert_eq!(format!("{:.2} {:.2}", 320.0 * 14_000.0 / 1497.0, 4.0 * 1497.0 / 2.0), "2992.65 2994.00");
    agree("cost", Some(best.cost), 2992.65 + 2994.00, 1e-6);
    assert_eq!(format!("{:.2}", 1497.0 / (14_000.0 / 52.0)), "5.56");
    let lead = over_lead(Demand { mean: 14_000.0 / 52.0, sd: 120.0 }, 3.0, 0.0).unwrap();
    let point = by_service(lead, 0.95).unwrap();
    assert_eq!(format!("{:.0}", point.safety), "342");
    assert!((point.point - 1150.0).abs() < 1.0, "{}", point.point);
}

/// "Inventory Management - Economic Order Quantity", scholarpapers.com (the two of its figures that are right): 2,500 a year, 18.75 an order, 1.50 to hold: 250; 250 days, three of lead: 30.
#[test]
fn a_printed_sure_lead() {
    assert_eq!(eoq(2500.0, 18.75, 1.5).unwrap().quantity, 250.0);
    assert_eq!(over_lead(Demand { mean: 10.0, sd: 0.0 }, 3.0, 0.0).unwrap().mean, 30.0);
}

/// Two printed price breaks for all units: 1,000 a year, 200 an order, 25 % to hold, 100, 90 from 100, 85 from 301: 126.49,
/// 133.33 and 137.20, so 301 at 88,862.58 (exercises MGSC 487, quantity discounts). 5,000 a year, 49 an order, 20 %, 5, 4.80 from 1,000,
/// 4.75 from 2,000: 1,000 at 24,725 (Render and others, a problem of discounts; the inputs as printed).
#[test]
fn printed_price_breaks() {
    let breaks = |steps: [(f64, f64); 3]| steps.map(|(from, price)| Break { from, price });
    for (price, wanted) in [(100.0, "126.49"), (90.0, "133.33"), (85.0, "137.20")] {
        assert_eq!(format!("{:.2}", eoq(1000.0, 200.0, 0.25 * price).unwrap().quantity), wanted);
    }
    let best = for_all_units(1000.0, 200.0, 0.25, &breaks([(0.0, 100.0), (101.0, 90.0), (301.0, 85.0)])).unwrap();
    assert_eq!((best.quantity, format!("{:.2}", best.cost).as_str()), (301.0, "88862.58"));
    let best = for_all_units(5000.0, 49.0, 0.2, &breaks([(0.0, 5.0), (1000.0, 4.8), (2000.0, 4.75)])).unwrap();
    assert_eq!((best.quantity, format!("{:.2}", best.cost).as_str()), (1000.0, "24725.00"));
}
