//! `herl reckon gauge` and `herl reckon x`: what stands behind the trade's numbers, a wire by its gauge and the
//! shank of a hook that is so many X long or short.

use super::Surroundings;
use super::asked::{self, Asked, quoted, shown};
use super::opened;
use super::reckon::Answer;
use crate::card;
use crate::diagnostic::near_or_all;
use crate::dressing::{HookMeasure, Size, XRule};
use crate::measure::{Fault, words::fold};
use crate::reckon::gauge;
use serde_json::json;
use std::path::Path;

/// A wire's thickness by its number.
#[derive(Debug, clap::Args)]
pub struct Gauge {
    /// Which scale, and the number on it
    #[command(flatten)]
    pub scale: Scale,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// One of two scales of wire.
#[derive(Debug, clap::Args)]
#[group(required = true, multiple = false)]
pub struct Scale {
    /// American wire gauge: 5/0 to 56; 4/0 may be written 0000
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub awg: Option<String>,
    /// British standard wire gauge: 7/0 to 50
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub swg: Option<String>,
}

/// The shank of a hook that is so many X long or short.
#[derive(Debug, clap::Args)]
pub struct Longer {
    /// The hook chart of this bench
    #[arg(long, value_name = "CHART")]
    pub chart: String,
    /// The hook's size
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true, value_parser = asked::value)]
    pub size: String,
    /// How far from the usual length
    #[command(flatten)]
    pub by: By,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// So many X, one way or the other.
#[derive(Debug, clap::Args)]
#[group(required = true, multiple = false)]
pub struct By {
    /// X long, from 1 to 20
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub long: Option<String>,
    /// X short, from 1 to 20
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub short: Option<String>,
}

pub(super) fn gauge(given: &Gauge, asked: &mut Asked) -> Option<Answer> {
    let (option, text, from, to, source, diameter) = match (&given.scale.awg, &given.scale.swg) {
        (Some(text), _) => {
            let formula = "diameter = 0.005 in x 92^((36 - number) / 39): ASTM B258";
            ("--awg", text, "5/0", "56", formula, gauge::number(text).and_then(gauge::american))
        }
        (None, Some(text)) => ("--swg", text, "7/0", "50", "table of BS 3737:1964", gauge::number(text).and_then(gauge::british)),
        // clap has seen to it that one is given.
        (None, None) => return None,
    };
    let Some(mm) = diameter else {
        let fault = Fault::new(format!("{} is not a number of this gauge", quoted(text)), 0..text.len());
        return asked.refuse(option, text, fault.right(format!("a number from {from} to {to}, such as 28 or 2/0 (or 00)")));
    };
    let inches = mm / 25.4;
    Some(Answer {
        json: json!({ "diameter_mm": mm, "diameter_in": inches }),
        lines: vec![format!("diameter  {} mm", shown(mm)), format!("          {} in", shown(inches)), String::new(), format!("source   {source}")],
    })
}

pub(super) fn longer(given: &Longer, bench: Option<&Path>, surroundings: &Surroundings, asked: &mut Asked) -> Option<Answer> {
    let (option, text, sign) = match (&given.by.long, &given.by.short) {
        (Some(text), _) => ("--long", text, 1),
        (None, Some(text)) => ("--short", text, -1),
        (None, None) => return None,
    };
    let by = text.trim().parse::<i64>().ok().filter(|by| (1..=20).contains(by));
    if by.is_none() {
        let fault = Fault::new(format!("{} is no number of X", quoted(text)), 0..text.len()).right("a whole number from 1 to 20");
        asked.refuse::<()>(option, text, fault);
    }
    let size = Size::read(&given.size);
    if size.is_none() {
        let fault = Fault::new(format!("{} is not a hook size", quoted(&given.size)), 0..given.size.len()).right("a size such as 12 or 1/0");
        asked.refuse::<()>("--size", &given.size, fault);
    }
    let opened = match opened::quietly(bench, surroundings) {
        Ok(opened) => opened,
        Err(faults) => {
            let what = faults.first().map_or_else(|| "there is no bench here".to_owned(), |fault| fault.what.clone());
            let named = bench.map(|dir| dir.display().to_string()).unwrap_or_default();
            return asked.refuse("--bench", &named, Fault::new(what, 0..0).right("the folder of a bench"));
        }
    };
    let charts = &opened.bench.shelf.charts;
    let Some(chart) = charts.get(&fold(&given.chart)) else {
        let known = charts.values().map(|chart| chart.name.value.as_str());
        let right = near_or_all(&given.chart, known, "a bench with hook charts: this one has none");
        let fault = Fault::new(format!("there is no hook chart {} on this bench", quoted(&given.chart)), 0..given.chart.len());
        return asked.refuse("--chart", &given.chart, fault.right(right));
    };
    let (by, size) = (sign * by?, size?);
    if chart.old_scale() || size.is_noughts() || Size::of_rank(size.rank(false), false).as_ref() != Some(&size) {
        let fault = Fault::new("X counts numbered sizes only, not an old scale and not lengths", 0..given.size.len());
        return asked.refuse("--size", &given.size, fault.right("a size such as 12 or 1/0, and a chart of such sizes"));
    }
    let like = chart.one_x.shank_size(&size, by);
    let Some((like, (mm, standing))) = like.and_then(|like| card::hook_figure(chart, &like, HookMeasure::Shank).map(|figure| (like, figure))) else {
        let sizes = chart.sizes_by_rank().into_iter().map(Size::text).collect::<Vec<_>>().join(", ");
        let fault = Fault::new(format!("a {size} so many X off has the shank of a size beyond the chart {}", quoted(&chart.name.value)), 0..given.size.len());
        return asked.refuse("--size", &given.size, fault.right(format!("fewer X, or figures of more sizes in hooks.yaml; it gives {sizes}")));
    };
    let rule = match chart.one_x {
        XRule::WholeNumber => "whole number",
        XRule::EvenSize => "even size",
    };
    let way = if by < 0 { "short" } else { "long" };
    Some(Answer {
        json: json!({ "size": like.text(), "shank_mm": mm, "standing": standing.name(), "one_x": rule }),
        lines: vec![
            format!("size   {like}: a {size} {}X {way} has its shank", by.abs()),
            format!("shank  {} mm  ({})", shown(mm), standing.name()),
            String::new(),
            format!("one X is one {rule} by this chart's `one-x`; the trade has both"),
        ],
    })
}
