//! How long a large bench takes: reading, working every card, checking, one screen. Figures and their floors stand in
//! DEVELOPERS.md. `cargo bench --bench bench`.
#![allow(clippy::unwrap_used, missing_docs, reason = "a benchmark fails by panicking")]

use criterion::{Criterion, criterion_group, criterion_main};
use herl::bench;
use herl::card::figure::View;
use herl::card::{self, frozen};
use herl::dressing::OrderLine;
use herl::plan;
use herl::tui::ink::Glyphs;
use herl::tui::screens::fly::{Fly, frame};
use herl::tui::style::Styles;
use herl::tui::widgets::Paint;
use herl::tui::{Desk, Look};
use mimalloc::MiMalloc;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::hint::black_box;
use std::path::{Path, PathBuf};

/// As the program has it.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

/// The demo bench with a thousand dressings of about 3 kB, each under a name of its own. With `HERL_THOUSAND` it is
/// written into that folder and left there, for the release binary to be timed by hand.
fn thousand() -> (Option<tempfile::TempDir>, PathBuf) {
    let named = std::env::var_os("HERL_THOUSAND").map(PathBuf::from);
    let kept = named.is_none().then(|| tempfile::tempdir().unwrap());
    let dir = named.unwrap_or_else(|| kept.as_ref().unwrap().path().to_owned());
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo");
    std::fs::create_dir_all(dir.join("dressings")).unwrap();
    for file in ["bench.yaml", "hooks.yaml", "materials.yaml"] {
        std::fs::copy(demo.join(file), dir.join(file)).unwrap();
    }
    let texts = demo.join("dressings").read_dir().unwrap().map(|entry| std::fs::read_to_string(entry.unwrap().path()).unwrap());
    // Those as a book prints them are a few lines each: they would only make it look quicker.
    let mut texts: Vec<String> = texts.filter(|text| text.contains("\nsteps:")).map(|text| grown(&text)).collect();
    texts.sort();
    for nth in 0..1000 {
        let name = |line: &str| if line.starts_with("dressing: ") { format!("{line} {nth}\n") } else { format!("{line}\n") };
        let text: String = texts[nth % texts.len()].lines().map(name).collect();
        std::fs::write(dir.join("dressings").join(format!("{nth:04}.yaml")), text).unwrap();
    }
    (kept, dir)
}

/// What a dresser's file has after some seasons: a part, a variant, a size and a step more, and remarks until it is 3 kB.
fn grown(text: &str) -> String {
    const REMARKS: &[&str] = &[
        "the last lot was a shade darker; hold it to the window beside the sample before a run is begun",
        "a wrap too many here and the eye is crowded, so leave it",
        "sort the box by length first, the short ones are for the smaller hooks",
        "counted on three flies, not measured",
        "damp it, it sits better",
        "asked for again by two of the spring orders, and no complaint so far",
    ];
    let size = text.lines().find_map(|line| line.strip_prefix("sizes: ")).unwrap().split(',').next().unwrap();
    let variant = format!("  in black silk:\n    silk: black silk, fine\n    at-size:\n      {size}: {{gloss: {{coats: 3}}}}\n");
    let mut all = String::from("# Tied most winters. What was changed stands beside what it was changed in; the sample is in the tin with the blue lid.\n");
    let (mut parted, mut varied, mut remarks) = (false, text.contains("\nvariants:"), REMARKS.iter().cycle());
    let mut more = 3000_usize.saturating_sub(text.len() + 600);
    for line in text.lines() {
        let key = line.split(':').next().unwrap_or_default();
        if !parted && matches!(key, "at-size" | "variants" | "steps") {
            all.push_str("  - part: gloss\n    of: black varnish\n    as: coat\n    coats: 2\n\n");
            parted = true;
        }
        if !varied && key == "steps" {
            all.push_str(&format!("variants:\n{variant}\n"));
            varied = true;
        }
        all.push_str(line);
        all.push('\n');
        if key == "variants" {
            all.push_str(&variant);
        }
        if line.starts_with("    as: ") && more > 0 {
            let remark = format!("    note: {}\n", remarks.next().unwrap());
            more = more.saturating_sub(remark.len());
            all.push_str(&remark);
        }
    }
    while more > 0 {
        let remark = format!("# {}\n", remarks.next().unwrap());
        more = more.saturating_sub(remark.len());
        all.push_str(&remark);
    }
    all.push_str("  - when: after\n    do: Card them by the half dozen, smallest first, with the date on the back.\n    time: 2 min a dozen\n");
    all
}

fn large_bench(c: &mut Criterion) {
    let (_kept, dir) = thousand();
    let texts: Vec<String> = dir.join("dressings").read_dir().unwrap().map(|entry| std::fs::read_to_string(entry.unwrap().path()).unwrap()).collect();
    let mut group = c.benchmark_group("a thousand dressings");
    group.sample_size(10);
    group.bench_function("floor: serde_yaml into its own values", |b| {
        b.iter(|| {
            texts.iter().map(|text| serde_yaml::from_str::<serde_yaml::Value>(text).unwrap()).map(|value| black_box(value).is_mapping() as usize).sum::<usize>()
        });
    });
    group.bench_function("read", |b| b.iter(|| black_box(bench::load(&dir)).bench.dressings.len()));
    let loaded = bench::load(&dir);
    assert!(loaded.findings.is_empty() && loaded.bench.dressings.len() == 1000, "{:#?}", loaded.findings.first());
    group.bench_function("work every card", |b| b.iter(|| bench::cards::check(black_box(&loaded.bench)).len()));
    group.finish();
}

fn one(c: &mut Criterion) {
    let loaded = bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"));
    let dressing = loaded.bench.dressings.values().next().unwrap();
    c.bench_function("one card", |b| b.iter(|| card::work(black_box(dressing), &dressing.sizes[0], None, None, &loaded.bench.shelf).unwrap().needs.len()));
    let card = card::work(dressing, &dressing.sizes[0], None, None, &loaded.bench.shelf).unwrap();
    let text = frozen::freeze(&card).unwrap();
    c.bench_function("one card frozen", |b| b.iter(|| frozen::freeze(black_box(&card)).unwrap().len()));
    c.bench_function("one card thawed", |b| b.iter(|| frozen::thaw(black_box(&text)).unwrap().needs.len()));
    let order = loaded.bench.orders.values().last().unwrap();
    c.bench_function("the plan of the demo order", |b| {
        b.iter(|| plan::work(black_box(order), &loaded.bench.dressings, &loaded.bench.shelf, &plan::Given::default()).unwrap().runs.len())
    });
}

/// An order of a hundred lines over a thousand dressings, laid out by days, bought, priced.
fn large_order(c: &mut Criterion) {
    let (_kept, dir) = thousand();
    let loaded = bench::load(&dir);
    let mut order = bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo")).bench.orders.values().next().unwrap().clone();
    let line = order.lines.first().unwrap().clone();
    let nth = |nth: usize| {
        let (name, dressing) = loaded.bench.dressings.get_index(nth * 7 % loaded.bench.dressings.len()).unwrap();
        let mut line = OrderLine { price: None, variant: None, instead: Default::default(), extras: Vec::new(), ..line.clone() };
        line.dressing.value.clone_from(name);
        line.sizes.truncate(1);
        line.sizes[0].0.value = dressing.sizes[nth % dressing.sizes.len()].value.clone();
        line.sizes[0].1.value = 12 + 6 * (nth as u32 % 7);
        line
    };
    order.lines = (0..100).map(nth).collect();
    let given = plan::Given { habits: loaded.bench.habits.clone(), today: Some(jiff::civil::date(2026, 11, 25)), ..plan::Given::default() };
    assert_eq!(plan::work(&order, &loaded.bench.dressings, &loaded.bench.shelf, &given).unwrap().runs.len(), 100);
    c.bench_function("the plan of a hundred lines", |b| {
        b.iter(|| plan::work(black_box(&order), &loaded.bench.dressings, &loaded.bench.shelf, &given).unwrap().runs.len())
    });
}

/// The drawing as the vice shows it on a terminal of 200 x 60: every step of every dressing of the demo bench.
fn drawing(c: &mut Criterion) {
    let loaded = bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"));
    let desk = Desk::of(loaded.bench, &loaded.findings, None);
    let look = Look::default();
    let (styles, glyphs) = (Styles::of(look.colours()), Glyphs::new(look.unicode));
    let paint = Paint { look: &look, styles: &styles, glyphs: &glyphs };
    let area = Rect::new(0, 0, 97, 54);
    let mut slowest = (std::time::Duration::ZERO, String::new());
    let mut buf = Buffer::empty(area);
    let cards: Vec<_> = desk.dressings.values().filter_map(|dressing| card::work(dressing, &dressing.sizes[0], None, None, &desk.shelf).ok()).collect();
    let mut draw = |card: &card::Card, corners, step: usize| {
        let parts = |nth: usize| card.steps.get(nth).map_or(Vec::new(), |step| step.ties.iter().chain(&step.winds).copied().collect());
        Fly { card, view: View::Side, done: step + 1, chosen: &parts(step), next: &parts(step + 1), frame: corners }.draw(&mut buf, area, &desk, paint);
    };
    for card in &cards {
        let corners = frame(card);
        for step in 0..card.steps.len() {
            let times = (0..5).map(|_| {
                let begun = std::time::Instant::now();
                draw(card, corners, step);
                begun.elapsed()
            });
            slowest = slowest.max((times.min().unwrap(), format!("{}, step {}", card.dressing, step + 1)));
        }
    }
    println!("the slowest drawing at 200 x 60: {:?} ({})", slowest.0, slowest.1);
    let frames: Vec<_> = cards.iter().map(frame).collect();
    c.bench_function("drawings of every step of the demo bench at 200 x 60", |b| {
        b.iter(|| {
            for (card, corners) in cards.iter().zip(&frames) {
                (0..card.steps.len()).for_each(|step| draw(card, *corners, step));
            }
        });
    });
    println!("drawings in all: {}", cards.iter().map(|card| card.steps.len()).sum::<usize>());
}

criterion_group!(benches, large_bench, one, large_order, drawing);
criterion_main!(benches);
