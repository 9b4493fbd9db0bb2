//! A worked card as plain text: the hook, a row a part, what one fly takes, the steps.

use super::table::Table;
use crate::card::{Card, WorkedPart, text::shown};
use crate::dressing::{HookShape, Per, Shelf, When};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// The card as text.
pub fn text(card: &Card, shelf: &Shelf) -> String {
    let mut text = head(card);
    text.push_str(&hook_line(card));
    text.push('\n');
    text.push_str(&parts(card, shelf));
    text.push('\n');
    text.push_str(&needs(card, shelf));
    text.push('\n');
    text.push_str(&steps(card));
    text
}

/// The title of a card: `Sallow Dun, size 14, dark: upwinged dry, revision 2`.
pub fn head(card: &Card) -> String {
    let variant = card.variant.as_ref().map_or_else(String::new, |variant| format!(", {variant}"));
    format!("{}, size {}{variant}: {}, revision {}\n", card.dressing, card.size, card.kind, card.revision)
}

fn hook_line(card: &Card) -> String {
    let hook = &card.hook;
    let told = [hook.gap, Some(hook.shank), Some(hook.wire)];
    let standing = told.into_iter().flatten().map(|fig| card.sheet.at(fig).standing).max().unwrap_or(Standing::Stated);
    let wire = if hook.shape == HookShape::Tube { "outside" } else { "wire" };
    let eye = Some(hook.eye).filter(|_| hook.shape != HookShape::Tube);
    let lengths = card.shown.lengths;
    let unit = if lengths.unit() == "in" { " in" } else { " mm" };
    let figures = [
        ("gap", hook.gap, unit),
        ("shank", Some(hook.shank).filter(|_| eye.is_some()), ""),
        (wire, Some(hook.wire), ""),
        ("inside", hook.inside, ""),
        ("overall", Some(hook.overall), ""),
        ("eye", eye, ""),
        ("barb at", hook.barb, ""),
        ("point at", hook.point, ""),
    ];
    let figures: Vec<String> =
        figures.iter().filter_map(|(word, fig, unit)| fig.map(|fig| format!("{word} {}{unit}", lengths.plain(card.sheet.value(fig), 2)))).collect();
    let shape = if hook.shape == HookShape::Straight { String::new() } else { format!("{}, ", hook.shape.word()) };
    let unit = if hook.gap.is_some() { "" } else { unit };
    format!("hook {} {}: {shape}{}{unit}; {:.4} g ({})\n", card.chart, card.size, figures.join(", "), card.sheet.value(hook.mass), standing.name())
}

/// The name of a material as written.
pub fn material_name<'a>(shelf: &'a Shelf, folded: &'a str) -> &'a str {
    shelf.materials.get(folded).map_or(folded, |material| material.name.value.as_str())
}

/// The materials of a part as written, with a plus between.
pub fn materials_of(part: &WorkedPart, shelf: &Shelf) -> String {
    let names: Vec<&str> = part.pieces.iter().map(|piece| material_name(shelf, &piece.material)).collect();
    if names.is_empty() { material_name(shelf, &part.material).to_owned() } else { names.join(" + ") }
}

/// A length with how near the next fly must be: `7.5 ±0.5`, or `6.7 to 9.0` of a range.
pub fn with_tolerance(card: &Card, fig: Fig) -> String {
    let value = card.sheet.value(fig);
    let key = card.sheet.key(fig);
    let plain = |mm: f64| card.shown.lengths.plain(mm, 1);
    let end = |end: &str| card.sheet.find(&format!("{key}.{end}")).map(|fig| card.sheet.value(fig));
    match (card.sheet.find(&format!("{key}.within")), end("low"), end("high")) {
        (Some(within), ..) => format!("{} ±{}", plain(value), plain(card.sheet.value(within))),
        (None, Some(low), Some(high)) => format!("{} to {}", plain(low), plain(high)),
        _ => plain(value),
    }
}

/// What is most wanted of a part's length: its length, its fibre, its span.
pub fn length_of(part: &WorkedPart, card: &Card) -> Option<Fig> {
    part.length.or(part.fibre).or_else(|| card.sheet.find(&format!("{}.length", part.name)))
}

/// Turns or count, in words.
pub fn number_of(part: &WorkedPart, card: &Card) -> String {
    if let Some((behind, before)) = part.turns_split {
        return format!("{behind} behind, {before} before");
    }
    if let Some(turns) = part.turns {
        return format!("{} turns", shown(card.sheet.at(turns)));
    }
    match part.count {
        Some(count) => shown(card.sheet.at(count)),
        None => String::new(),
    }
}

/// An amount with its unit, `about` where its body's density is only assumed.
pub fn amount(card: &Card, fig: Fig) -> String {
    let row = card.sheet.at(fig);
    let about = if row.unit == Unit::G || row.standing == Standing::Assumed { "about " } else { "" };
    let figure = match row.unit {
        Unit::G if row.value < 0.1 => format!("{:.2} mg", row.value * 1000.0),
        Unit::G => format!("{:.3} g", row.value),
        Unit::M => format!("{:.3} m", row.value),
        Unit::Mm2 => format!("{:.1} mm2", row.value),
        Unit::Ml => format!("{:.3} ml", row.value),
        Unit::Feather => format!("{:.2} feathers", row.value),
        Unit::Fibre => format!("{:.1} fibres", row.value),
        _ => format!("{:.2}", row.value),
    };
    format!("{about}{}", card.shown.numbers.text(&figure))
}

fn parts(card: &Card, shelf: &Shelf) -> String {
    let lengths = card.shown.lengths;
    let [from, length] = [">from", ">length"].map(|head| format!("{head} {}", lengths.unit()));
    let mut table = Table::new(&["part", "material", "as", &from, ">to", &length, "number", "amount a fly", "standing"]);
    let mm = |fig: Fig| lengths.plain(card.sheet.value(fig), 1);
    for part in &card.parts {
        let (from, to) = part.span.map_or_else(|| (part.tied_in.map_or_else(|| "open".to_owned(), mm), String::new()), |(from, to)| (mm(from), mm(to)));
        let length = length_of(part, card);
        let standing = part.amount.map(|fig| card.sheet.at(fig).standing).max(length.map(|fig| card.sheet.at(fig).standing));
        table.row(vec![
            part.name.clone(),
            materials_of(part, shelf),
            part.way.word().to_owned(),
            from,
            to,
            length.map_or_else(String::new, |fig| with_tolerance(card, fig)),
            number_of(part, card),
            match &part.carries_on {
                Some(from) => format!("with the {from}"),
                None => part.amount.map_or_else(|| "open".to_owned(), |fig| amount(card, fig)),
            },
            standing.map_or_else(String::new, |standing| standing.name().to_owned()),
        ]);
    }
    table.text()
}

fn needs(card: &Card, shelf: &Shelf) -> String {
    let mut table = Table::new(&["one fly takes", ">amount", "for"]);
    for need in &card.needs {
        let name = if need.part == "hook" { format!("hook {}", card.chart) } else { material_name(shelf, &need.material).to_owned() };
        let sized = need.size.as_ref().map_or_else(|| name.clone(), |size| format!("{name}, size {size}"));
        table.row(vec![sized, amount(card, need.amount), need.part.clone()]);
    }
    table.text()
}

fn steps(card: &Card) -> String {
    let mut text = String::new();
    for (nth, step) in card.steps.iter().enumerate() {
        let when = match step.when {
            When::Before => "before the vice: ",
            When::AtTheVice => "",
            When::After => "off the vice: ",
        };
        let time = step.time.map_or_else(String::new, |(fig, per)| {
            let per = match per {
                Per::Fly => "",
                Per::Dozen => " a dozen",
                Per::Run => " a run",
            };
            format!("  [{}{per}]", shown(card.sheet.at(fig)))
        });
        let dries = step.dries.map_or_else(String::new, |fig| format!("  dries {:.1} h", card.sheet.value(fig) / 3600.0));
        text.push_str(&format!("{:>2}. {when}{}{time}{dries}\n", nth + 1, step.text));
    }
    text
}
