//! How long the searches take on the tables of tests/reference/data: every case by itself (median and worst, each the
//! best of several goes), then whole tables. Figures stand in DEVELOPERS.md. `cargo bench --bench solvers`.
#![allow(clippy::unwrap_used, missing_docs, reason = "a benchmark fails by panicking")]

use criterion::{Criterion, criterion_group, criterion_main};
use herl::reckon::cutting::{self, Piece};
use herl::reckon::packs::{self, Pack};
use herl::reckon::search::Budget;
use herl::reckon::setting::{self, Run, Step};
use herl::reckon::suppliers::{self, Offer, Supplier};
use herl::reckon::unequal;
use serde_json::Value;
use std::hint::black_box;
use std::time::{Duration, Instant};

/// A question ready to be asked.
type Question = Box<dyn Fn() -> bool>;

/// The searches' budget: none of the tables needs a tenth of it.
const NODES: u64 = 20_000_000;

fn whole(list: &Value) -> Vec<u64> {
    list.as_array().unwrap().iter().map(|figure| figure.as_u64().unwrap()).collect()
}

fn lists(list: &Value) -> Vec<Vec<u64>> {
    list.as_array().unwrap().iter().map(whole).collect()
}

/// One question a case.
fn questions(file: &str, of: &str, question: impl Fn(&Value) -> Question) -> Vec<Question> {
    let file: Value = serde_json::from_str(file).unwrap();
    file[of].as_array().unwrap().iter().map(question).collect()
}

fn single_packs() -> Vec<Question> {
    questions(include_str!("../tests/reference/data/pack_single.json"), "cases", |case| {
        let need = case["need"].as_u64().unwrap();
        let pack = |pack: Vec<u64>| Pack { size: pack[0], price: pack[1], most: (pack[2] < 1000).then_some(pack[2]) };
        let packs: Vec<Pack> = lists(&case["packs_size_price_max"]).into_iter().map(pack).collect();
        Box::new(move || packs::cheapest(black_box(need), &packs, &mut Budget::of(NODES)).unwrap().is_none_or(|choice| choice.proved))
    })
}

fn several_suppliers() -> Vec<Question> {
    questions(include_str!("../tests/reference/data/pack_suppliers.json"), "cases", |case| {
        let needs = whole(&case["needs"]);
        let supplier = |terms: Vec<u64>| Supplier { carriage: terms[0], free_from: Some(terms[1]) };
        let suppliers: Vec<Supplier> = lists(&case["suppliers_fee_freeover"]).into_iter().map(supplier).collect();
        let offer =
            |offer: Vec<u64>| Offer { supplier: offer[0] as usize, need: offer[1] as usize, pack: Pack { size: offer[2], price: offer[3], most: None } };
        let offers: Vec<Offer> = lists(&case["offers"]).into_iter().map(offer).collect();
        Box::new(move || suppliers::cheapest(black_box(&needs), &suppliers, &offers, &mut Budget::of(NODES)).unwrap().unwrap().proved)
    })
}

fn pieces(case: &Value) -> Vec<Piece> {
    whole(&case["piece_lengths"]).into_iter().zip(whole(&case["demand"])).map(|(length, count)| Piece { length, count }).collect()
}

fn cuts(of: &str) -> Vec<Question> {
    questions(include_str!("../tests/reference/data/cutting_stock.json"), of, |case| {
        let (stock, kerf, pieces) = (case["stock_length"].as_u64().unwrap(), case["kerf"].as_u64().unwrap(), pieces(case));
        Box::new(move || cutting::fewest(black_box(stock), kerf, &pieces, &mut Budget::of(NODES)).unwrap().proved)
    })
}

fn of_120() -> Vec<Question> {
    questions(include_str!("../tests/reference/data/cutting_u120.json"), "cases", |case| {
        let stock = case["capacity"].as_u64().unwrap();
        let pieces: Vec<Piece> = whole(&case["items"]).into_iter().map(|length| Piece { length, count: 1 }).collect();
        Box::new(move || cutting::fewest(black_box(stock), 0, &pieces, &mut Budget::of(NODES)).unwrap().proved)
    })
}

fn unequal_stock() -> Vec<Question> {
    questions(include_str!("../tests/reference/data/cutting_unequal.json"), "cases", |case| {
        let (stocks, pieces) = (whole(&case["stocks"]), pieces(case));
        Box::new(move || match unequal::fewest(black_box(&stocks), 0, &pieces, &mut Budget::of(NODES)).unwrap() {
            unequal::Outcome::Plan(plan) => plan.proved,
            unequal::Outcome::Impossible => true,
            unequal::Outcome::Unknown => false,
        })
    })
}

fn run(times: &[u64], places: u64, release: u64) -> Run {
    let steps = times.chunks(2).map(|step| Step { work: step[0], dry: step.get(1).copied().unwrap_or(0) }).collect();
    Run { steps, places, release }
}

fn asked(runs: Vec<Run>, hands: usize, rack: Option<u64>) -> Question {
    Box::new(move || setting::shortest(black_box(&runs), hands, rack, &mut Budget::of(NODES)).unwrap().proved)
}

fn settings() -> Vec<Question> {
    let of_batches = |case: &Value| {
        let release = |nth: usize| case["release"].get(nth).and_then(Value::as_u64).unwrap_or(0);
        let runs = lists(&case["batches"]).iter().enumerate().map(|(nth, times)| run(times, 1, release(nth))).collect();
        asked(runs, case["workers"].as_u64().unwrap() as usize, case["rack_places"].as_u64())
    };
    let in_flies = |case: &Value| {
        let runs = case["batches_size_stages"].as_array().unwrap().iter().map(|batch| run(&whole(&batch[1]), batch[0].as_u64().unwrap(), 0)).collect();
        asked(runs, 1, case["rack_capacity_flies"].as_u64())
    };
    let file = include_str!("../tests/reference/data/work_and_drying.json");
    let mut all = questions(file, "cases", of_batches);
    all.extend(questions(file, "rack_in_flies", in_flies));
    all.extend(questions(include_str!("../tests/reference/data/waiting_pays.json"), "cases", of_batches));
    all
}

/// The best of several goes at one question.
fn time(question: &Question) -> Duration {
    let go = |_| {
        let start = Instant::now();
        assert!(question(), "every case is proved");
        start.elapsed()
    };
    (0..7).map(go).min().unwrap_or_default()
}

fn tables(c: &mut Criterion) {
    let tables = [
        ("packs, one supplier", single_packs()),
        ("packs, several suppliers", several_suppliers()),
        ("cuts", cuts("cases")),
        ("cuts, published", cuts("published")),
        ("cuts, u120", of_120()),
        ("cuts, unequal stock", unequal_stock()),
        ("settings", settings()),
    ];
    for (name, questions) in &tables {
        let mut times: Vec<Duration> = questions.iter().map(time).collect();
        times.sort_unstable();
        println!("{name}: {} cases, median {:?}, worst {:?}", times.len(), times[times.len() / 2], times[times.len() - 1]);
    }
    let mut group = c.benchmark_group("the whole table");
    group.sample_size(20);
    for (name, questions) in &tables {
        group.bench_function(*name, |b| b.iter(|| questions.iter().filter(|question| question()).count()));
    }
    group.finish();
}

criterion_group!(benches, tables);
criterion_main!(benches);
