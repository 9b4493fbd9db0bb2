//! How long a large bench takes: reading, working every card, checking, one screen. Figures and their floors stand in
//! DEVELOPERS.md. `cargo bench --bench bench`.
#![allow(clippy::unwrap_used, missing_docs, reason = "a benchmark fails by panicking")]

use criterion::{Criterion, criterion_group, criterion_main};
use herl::bench;
use herl::card;
use herl::card::figure::View;
use herl::card::{self, frozen};
use herl::plan;
use herl::tui::ink::Glyphs;
use herl::tui::screens::fly::{Fly, frame};
use herl::tui::style::Styles;
use herl::tui::widgets::Paint;
use herl::tui::{Desk, Look};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::hint::black_box;
use std::path::Path;

/// The demo bench with a thousand dressings of about 2.5 kB, each under a name of its own.
fn thousand() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo");
    for file in ["bench.yaml", "hooks.yaml", "materials.yaml"] {
        std::fs::copy(demo.join(file), dir.path().join(file)).unwrap();
    }
    std::fs::create_dir(dir.path().join("dressings")).unwrap();
    let mut texts: Vec<String> =
        std::fs::read_dir(demo.join("dressings")).unwrap().map(|entry| std::fs::read_to_string(entry.unwrap().path()).unwrap()).collect();
    texts.sort();
    for nth in 0..1000 {
        let text: String =
            texts[nth % texts.len()].lines().map(|line| if line.starts_with("dressing: ") { format!("{line} {nth}\n") } else { format!("{line}\n") }).collect();
        std::fs::write(dir.path().join("dressings").join(format!("{nth:04}.yaml")), text).unwrap();
    }
    dir
}

fn large_bench(c: &mut Criterion) {
    let dir = thousand();
    let texts: Vec<String> =
        std::fs::read_dir(dir.path().join("dressings")).unwrap().map(|entry| std::fs::read_to_string(entry.unwrap().path()).unwrap()).collect();
    let mut group = c.benchmark_group("a thousand dressings");
    group.sample_size(10);
    group.bench_function("floor: serde_yaml into its own values", |b| {
        b.iter(|| {
            texts.iter().map(|text| serde_yaml::from_str::<serde_yaml::Value>(text).unwrap()).map(|value| black_box(value).is_mapping() as usize).sum::<usize>()
        });
    });
    group.bench_function("read", |b| b.iter(|| black_box(bench::load(dir.path())).bench.dressings.len()));
    let loaded = bench::load(dir.path());
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
        b.iter(|| plan::work(black_box(order), &loaded.bench.dressings, &loaded.bench.shelf).unwrap().runs.len())
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

criterion_group!(benches, large_bench, one, drawing);
criterion_main!(benches);
