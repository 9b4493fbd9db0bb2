//! A card as a drawing in true scale: the fly on its hook, rules to lay it against, and the lengths as pairs of lines
//! to set dividers by.
//!
//! ```text
//! Sallow Dun                          title, size, variant, revision, chart
//!        (the fly, facing right)
//! mm  |....|....|....|                0 at the rear of the eye
//! in  |...|...|...|
//! |--------- 50 mm ---------|         proof that the print was not resized
//! |          |  tail, length 10.0 mm  a row for each length
//! ```
//!
//! One unit of the drawing is one millimetre of paper.

use super::ink::{Ink, plain};
use crate::card::Card;
use crate::card::figure::{Mark, Shape, Tone, View, extents, figure};
use crate::card::form::{DONE, Role};
use crate::card::hook_line::{Measures, P2};
use crate::dressing::{Base, HookShape, Rides};
use crate::measure::Words;
use crate::why::Fig;
use std::collections::HashSet;
use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

/// Free paper around everything, mm.
const MARGIN: f64 = 8.0;
/// Height of the plain text, mm.
const TEXT: f64 = 3.0;
/// Height of the figures on the rules, mm.
const SMALL: f64 = 2.2;
/// Nothing longer is drawn as a pair of lines, mm: it would not go on a page.
const LONGEST: f64 = 250.0;
const INCH: f64 = 25.4;

/// Red, green and blue of the hook, the head, the silk, or one material of a part.
pub type Colours<'a> = &'a dyn Fn(Role, Option<usize>, usize) -> [u8; 3];

/// The drawing of a card as an SVG document (SVG 1.1), for a right-handed dresser: the eye at the right. `colours` gives the
/// colours of the hook, the head, the silk and each part.
pub fn svg(card: &Card, colours: Colours<'_>) -> String {
    let marks = figure(card, View::Side, DONE);
    let hook = Measures::of(card);
    let (low, high) = extents(&marks).unwrap_or(([0.0; 2], [1.0; 2]));
    let lengths = lengths(card);
    let longest = lengths.iter().map(|length| length.mm).fold(0.0, f64::max);
    let mut page = Page { out: String::new(), width: 0.0, y: MARGIN };
    page.title(card);
    page.y += 4.0;
    // The fly faces right: x grows toward the bend, to the left.
    let zero = [MARGIN + high[0].max(0.0), page.y + high[1]];
    page.fly(card, Some(&hook), &marks, zero, colours);
    page.reach(zero[0] - low[0]);
    page.y += high[1] - low[1] + 4.0;
    if has_breadth(card) {
        let below = figure(card, View::Below, DONE);
        let (from, to) = extents(&below).unwrap_or(([0.0; 2], [1.0; 2]));
        page.y += SMALL;
        page.text([MARGIN, page.y], SMALL, false, "From below");
        page.y += 2.0;
        page.fly(card, None, &below, [zero[0], page.y + to[1]], colours);
        page.y += to[1] - from[1] + 4.0;
    }
    page.rules(zero[0], low[0].floor(), high[0].ceil());
    page.bar();
    page.dividers(&lengths, longest);
    page.close(card)
}

/// Whether something lies out to both sides, so that a view from below shows more.
fn has_breadth(card: &Card) -> bool {
    let broad = |part: &crate::card::WorkedPart| part.shape.spent || part.shape.split_degrees.is_some() || matches!(part.on, Base::Post(_));
    card.hook.shape == HookShape::Double || card.parts.iter().any(broad)
}

/// A length of the card for the dividers.
struct Length {
    name: String,
    figure: String,
    mm: f64,
}

/// Every length there is something to set dividers to.
fn lengths(card: &Card) -> Vec<Length> {
    let hook = [("hook, overall", Some(card.hook.overall)), ("hook, shank", Some(card.hook.shank)), ("hook, gap", card.hook.gap)];
    let mut found: Vec<Length> = hook.iter().filter_map(|(name, fig)| length(card, name, (*fig)?)).collect();
    for part in &card.parts {
        let slip = matches!(part.way, crate::dressing::Way::Slip | crate::dressing::Way::Strip | crate::dressing::Way::Sheet | crate::dressing::Way::Pair);
        for (what, fig) in [("length", part.length), ("fibre", part.fibre), ("width", part.width.filter(|_| slip))] {
            found.extend(fig.and_then(|fig| length(card, &format!("{}, {what}", part.name), fig)));
        }
        if let Some((from, to)) = part.span {
            let mm = (card.sheet.value(from) - card.sheet.value(to)).abs();
            let figure = format!("{} to {}", card.sheet.key(from), card.sheet.key(to));
            found.extend(drawable(mm).map(|mm| Length { name: format!("{}, from end to end", part.name), figure, mm }));
        }
    }
    found
}

fn length(card: &Card, name: &str, fig: Fig) -> Option<Length> {
    drawable(card.sheet.value(fig)).map(|mm| Length { name: name.to_owned(), figure: card.sheet.key(fig).to_owned(), mm })
}

fn drawable(mm: f64) -> Option<f64> {
    (0.05..=LONGEST).contains(&mm).then_some(mm)
}

/// A length as read off a rule: mm to a tenth (a hundredth below 2 mm), and inches where a fraction that rules show is
/// within a tenth of a millimetre.
fn in_words(mm: f64) -> String {
    let text = if mm < 2.0 { format!("{mm:.2} mm") } else { format!("{mm:.1} mm") };
    let parts = (mm / INCH * 32.0).round();
    if parts < 1.0 || (parts * INCH / 32.0 - mm).abs() > 0.1 {
        return text;
    }
    let (mut above, mut below) = (parts as u64, 32);
    while above % 2 == 0 && below > 1 {
        (above, below) = (above / 2, below / 2);
    }
    let whole = above / below;
    let inches = match (whole, above % below) {
        (whole, 0) => format!("{whole}"),
        (0, part) => format!("{part}/{below}"),
        (whole, part) => format!("{whole} {part}/{below}"),
    };
    format!("{text} (about {inches} in)")
}

struct Page {
    out: String,
    width: f64,
    y: f64,
}

impl Page {
    fn reach(&mut self, x: f64) {
        self.width = self.width.max(x);
    }

    fn push(&mut self, text: &str) {
        self.out.push_str(text);
        self.out.push('\n');
    }

    /// A line of text with its left end at `x` (its middle for `middle`) and its foot at `y`.
    fn text(&mut self, [x, y]: P2, size: f64, middle: bool, text: &str) {
        let anchor = if middle { " text-anchor=\"middle\"" } else { "" };
        let wide = wide(text, size);
        self.reach(if middle { x + wide / 2.0 } else { x + wide });
        let (x, y) = (plain(x), plain(y));
        self.push(&format!("<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{anchor}>{}</text>", escaped(text)));
    }

    fn line(&mut self, [x1, y1]: P2, [x2, y2]: P2, width: f64) {
        let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(plain);
        self.push(&format!("<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" stroke=\"#000\" stroke-width=\"{width}\"/>"));
    }

    fn title(&mut self, card: &Card) {
        self.y += 5.0;
        self.text([MARGIN, self.y], 5.0, false, &card.dressing);
        self.y += 5.0;
        let variant = card.variant.as_ref().map_or(String::new(), |variant| format!(", variant {variant}"));
        let line = format!("{}, size {}{variant}, revision {}, hook {}", card.kind, card.size, card.revision, card.chart);
        self.text([MARGIN, self.y], TEXT, false, &line);
    }

    /// The marks of one view; with the hook's measures it is the view from the side, with the hook in one outline.
    fn fly(&mut self, card: &Card, hook: Option<&Measures>, marks: &[Mark], zero: P2, colours: Colours<'_>) {
        let mut taken = HashSet::new();
        let (view, before) = if hook.is_some() { ("fly", "") } else { ("from-below", "below-") };
        let place = |[x, y]: P2| [zero[0] - x, zero[1] - y];
        self.push(&format!("<g id=\"{view}\" stroke-linejoin=\"round\" stroke-linecap=\"round\">"));
        let mut rest = marks;
        while let Some(first) = rest.first() {
            let same = rest.iter().take_while(|mark| (mark.part, mark.piece, mark.role) == (first.part, first.piece, first.role)).count();
            let (group, after) = rest.split_at(same);
            rest = after;
            let ink = Ink::new(colours(first.role, first.part, first.piece));
            if let (Role::Hook, Some(hook)) = (first.role, hook) {
                let up = hook.rides == Rides::PointUp;
                self.hook(hook, &|[x, y]| place([x, if up { -y } else { y }]), &ink);
                continue;
            }
            let name = match (first.role, first.part.and_then(|part| card.parts.get(part))) {
                (_, Some(part)) => format!("{before}part-{}", slug(&part.name)),
                (Role::Hook, None) => format!("{before}hook"),
                (Role::Head, None) => format!("{before}head"),
                _ => format!("{before}silk"),
            };
            let id = free(&name, &mut taken);
            self.push(&format!("<g id=\"{id}\">"));
            for mark in group {
                self.mark(mark, &place, &ink);
            }
            self.push("</g>");
        }
        self.push("</g>");
    }

    fn hook(&mut self, hook: &Measures, place: &dyn Fn(P2) -> P2, ink: &Ink) {
        if let Some(far) = hook.far_bend() {
            self.push(&format!("<path id=\"far-bend\" d=\"{}\" fill=\"{}\"/>", closed(&far, place).trim_end(), ink.edge));
        }
        let outline = hook.outline();
        let mut path = closed(&outline.edge, place);
        for hole in &outline.holes {
            path.push_str(&closed(hole, place));
        }
        let overall = plain(hook.overall);
        self.push(&format!("<path id=\"hook\" data-mm=\"{overall}\" d=\"{}\" fill=\"{}\" fill-rule=\"evenodd\"/>", path.trim_end(), ink.fill));
    }

    fn mark(&mut self, mark: &Mark, place: &dyn Fn(P2) -> P2, ink: &Ink) {
        match &mark.shape {
            Shape::Line(points, width) => {
                let mut path = String::new();
                for (at, point) in points.iter().enumerate() {
                    let [x, y] = place(*point).map(plain);
                    // Writing into a String cannot fail.
                    let _ = write!(path, "{}{x} {y}", if at == 0 { "M" } else { "L" });
                }
                let colour = if mark.tone == Tone::Seam { &ink.edge } else { &ink.line };
                let dots = if mark.tone == Tone::Dotted { " stroke-dasharray=\"0.05 0.45\"" } else { "" };
                let width = plain(width.max(if mark.tone == Tone::Dotted { 0.12 } else { 0.04 }));
                self.push(&format!("<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\"{dots}/>"));
            }
            Shape::Area(points) => {
                let path = closed(points, place);
                let edge = if mark.tone == Tone::Soft { " stroke-dasharray=\"0.15 0.2\"" } else { "" };
                let (fill, stroke) = (&ink.fill, &ink.edge);
                self.push(&format!("<path d=\"{}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"0.06\"{edge}/>", path.trim_end()));
            }
            Shape::Measured(..) => {}
        }
    }

    /// A rule in mm and one in inches, both with 0 at the rear of the eye.
    fn rules(&mut self, zero: f64, low: f64, high: f64) {
        self.push("<g id=\"rule-mm\">");
        self.line([zero - high, self.y], [zero - low, self.y], 0.1);
        for mm in low as i64..=high as i64 {
            let x = zero - mm as f64;
            let tick = if mm % 10 == 0 {
                4.0
            } else if mm % 5 == 0 {
                3.0
            } else {
                1.8
            };
            self.line([x, self.y], [x, self.y + tick], 0.1);
            if mm % 5 == 0 {
                self.text([x, self.y + 6.4], SMALL, true, &mm.to_string());
            }
        }
        self.text([zero - low + 2.5, self.y + 3.0], SMALL, false, "mm");
        self.push("</g>");
        self.y += 10.0;
        self.push("<g id=\"rule-inch\">");
        self.line([zero - high, self.y], [zero - low, self.y], 0.1);
        let sixteenth = INCH / 16.0;
        for part in (low / sixteenth).ceil() as i64..=(high / sixteenth).floor() as i64 {
            let x = zero - part as f64 * sixteenth;
            let tick = [(16, 4.0), (8, 3.2), (4, 2.6), (2, 1.9)].iter().find(|(each, _)| part % each == 0).map_or(1.2, |(_, tick)| *tick);
            self.line([x, self.y], [x, self.y + tick], 0.1);
            if part % 4 == 0 {
                let sign = if part < 0 { "-" } else { "" };
                let text = match (part.abs() / 16, part.abs() % 16 / 4) {
                    (whole, 0) => format!("{sign}{whole}"),
                    (_, 2) => String::new(),
                    _ => String::new(),
                };
                if !text.is_empty() {
                    self.text([x, self.y + 6.4], SMALL, true, &text);
                }
            }
        }
        self.text([zero - low + 2.5, self.y + 3.0], SMALL, false, "in, by sixteenths");
        self.push("</g>");
        self.y += 11.0;
        self.text([MARGIN, self.y], SMALL, false, "Both rules begin at the rear of the eye.");
    }

    /// The bar by which a print is checked.
    fn bar(&mut self) {
        self.y += 6.0;
        self.push("<g id=\"check-bar\" data-mm=\"50\">");
        self.line([MARGIN, self.y], [MARGIN + 50.0, self.y], 0.1);
        for x in [MARGIN, MARGIN + 50.0] {
            self.line([x, self.y - 1.5], [x, self.y + 1.5], 0.1);
        }
        self.y += 5.0;
        self.text([MARGIN, self.y], TEXT, false, "Not to be resized: this bar is 50 mm.");
        self.push("</g>");
        self.y += 5.0;
    }

    /// One row a length: two lines exactly that far apart, and beside the longest of them the words.
    fn dividers(&mut self, lengths: &[Length], longest: f64) {
        const ROW: f64 = 6.5;
        self.push("<g id=\"dividers\">");
        self.y += TEXT;
        self.text([MARGIN, self.y], TEXT, false, "Lengths for the dividers, from line to line");
        self.y += 3.0;
        for length in lengths {
            let (x, mm) = (plain(MARGIN), plain(length.mm));
            self.push(&format!("<g class=\"length\" data-figure=\"{}\" data-mm=\"{mm}\">", escaped(&length.figure)));
            let right = plain(MARGIN + length.mm);
            let (top, foot) = (plain(self.y), plain(self.y + 4.5));
            self.push(&format!("<path d=\"M{x} {top}L{x} {foot}M{right} {top}L{right} {foot}\" stroke=\"#000\" stroke-width=\"0.08\"/>"));
            let words = format!("{} {}", length.name, in_words(length.mm));
            self.text([MARGIN + longest + 4.0, self.y + 3.4], TEXT, false, &words);
            self.push("</g>");
            self.y += ROW;
        }
        self.push("</g>");
    }

    fn close(self, card: &Card) -> String {
        let (width, height) = (plain(self.width + MARGIN), plain(self.y + MARGIN));
        let title = escaped(&format!("{}, size {}", card.dressing, card.size));
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\">\n\
             <title>{title}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{}</svg>\n",
            self.out
        )
    }
}

/// A closed path.
fn closed(points: &[P2], place: &dyn Fn(P2) -> P2) -> String {
    let mut path = String::new();
    for (at, point) in points.iter().enumerate() {
        let [x, y] = place(*point).map(plain);
        // Writing into a String cannot fail.
        let _ = write!(path, "{}{x} {y}", if at == 0 { "M" } else { "L" });
    }
    if !path.is_empty() {
        path.push_str("Z ");
    }
    path
}

/// How broad a text may be at most, mm: two thirds of its height a column in any usual face.
fn wide(text: &str, size: f64) -> f64 {
    Words::new(text).as_str().width() as f64 * size * 0.66
}

/// Text that may stand in XML: no control characters, no noncharacters, the five signs escaped.
fn escaped(text: &str) -> String {
    let mut safe = String::new();
    for c in Words::new(text).as_str().chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&apos;"),
            // XML 1.0, production Char.
            '\u{FFFE}' | '\u{FFFF}' => safe.push('\u{FFFD}'),
            c => safe.push(c),
        }
    }
    safe
}

/// A part's name as an id.
fn slug(name: &str) -> String {
    name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

/// An id not yet taken: `name` itself, else with a number behind it.
fn free(name: &str, taken: &mut HashSet<String>) -> String {
    let mut id = name.to_owned();
    let mut number = 2;
    while !taken.insert(id.clone()) {
        id = format!("{name}-{number}");
        number += 1;
    }
    id
}

#[cfg(test)]
mod tests;
