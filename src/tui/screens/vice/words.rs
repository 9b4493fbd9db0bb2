//! The words of a step as large as they go: in letters of several cells where they fit, else bold and far apart; and
//! the figures in them once more, in the largest letters.

use crate::tui::ink::{fit, put, row, width, wrap};
use crate::tui::letters::{self, Middle};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};

/// A figure of a step with what it counts or measures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Told {
    number: String,
    what: String,
}

impl Told {
    /// A figure as it stands on a card (`24 fibres`), of this part where several are in hand.
    pub(super) fn of_card(text: &str, of: &str) -> Option<Self> {
        let (number, what) = text.split_once(' ').unwrap_or((text, ""));
        letters::large_width(number)?;
        Some(Told { number: number.to_owned(), what: [of, what].into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ") })
    }
}

impl Told {
    /// The number, and what it counts or measures.
    pub(super) fn said(&self) -> (&str, &str) {
        (&self.number, &self.what)
    }
}

/// Words that end what a figure counts.
const ENDS: &[&str] = &["of", "in", "on", "at", "to", "for", "from", "with", "and", "or", "then", "the", "a", "behind", "before", "beneath", "over", "toward"];
/// Figures as words; a lone "one" is seldom a figure.
const NUMBERS: &[&str] = &["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/// The figures in a step's words, in order.
pub(super) fn figures(text: &str) -> Vec<Told> {
    let tokens: Vec<&str> = text.split_whitespace().collect();
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        at += 1;
        let Some((mut number, mut ended)) = self::number(token) else { continue };
        // "two or three turns" is one figure.
        if !ended
            && matches!(tokens.get(at), Some(&("or" | "to")))
            && let Some((other, then)) = tokens.get(at + 1).and_then(|token| self::number(token))
        {
            number = format!("{number}-{other}");
            ended = then;
            at += 2;
        }
        let mut what: Vec<&str> = Vec::new();
        while !ended && what.len() < 2 {
            let Some(token) = tokens.get(at) else { break };
            let bare = bare(token);
            if ENDS.contains(&bare) || self::number(token).is_some() || bare.is_empty() {
                break;
            }
            what.push(bare);
            ended = bare.len() < token.len();
            at += 1;
        }
        found.push(Told { number, what: what.join(" ") });
    }
    found
}

/// A word without the signs round it.
fn bare(token: &str) -> &str {
    token.trim_matches([',', ';', ':', '.', '!', '?', '(', ')'])
}

/// The number a word is, and whether a sign after it ends the phrase.
fn number(token: &str) -> Option<(String, bool)> {
    let bare = bare(token);
    let ended = token.ends_with([',', ';', ':', '.', '!', '?', ')']);
    if let Some(nth) = NUMBERS.iter().position(|word| word.eq_ignore_ascii_case(bare)) {
        return Some(((nth + 2).to_string(), ended));
    }
    let digits = bare.starts_with(|c: char| c.is_ascii_digit()) && bare.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | '-'));
    digits.then(|| (bare.to_owned(), ended))
}

/// Whether a word is to stand out: a figure, or its unit.
fn stands_out(word: &str) -> bool {
    number(word).is_some() || bare(word) == "mm"
}

/// How a word of a step is written.
pub(super) fn style(word: &str, paint: Paint<'_>) -> Style {
    if stands_out(word) { paint.styles.title } else { paint.styles.plain.add_modifier(Modifier::BOLD) }
}

/// Writes a line of a step, its figures standing out.
pub(super) fn line(buf: &mut Buffer, area: Rect, text: &str, paint: Paint<'_>) {
    let mut x = area.x;
    for word in text.split(' ') {
        // Bold alone would not tell them from the rest without colours.
        let style = if stands_out(word) { style(word, paint).add_modifier(Modifier::UNDERLINED) } else { style(word, paint) };
        x = put(buf, area, x, area.y, word, style);
        x = put(buf, area, x, area.y, " ", paint.styles.plain);
    }
}

/// A step in middle letters, where the terminal shows them and it fits.
pub(super) fn middle<'a>(text: &'a str, area: Rect, paint: Paint<'_>) -> Option<Middle<'a>> {
    Middle::set(text, area.width).filter(|set| paint.look.unicode && set.rows() <= area.height)
}

/// Paints a step in middle letters.
pub(super) fn draw_middle(set: &Middle<'_>, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    set.draw(buf, area, &|word| style(word, paint));
}

/// Columns between two large figures.
const GAP: u16 = 5;

/// The figures in rows of large letters that fit into so many columns: those of each row, with the columns each takes.
fn rows_of(figures: &[Told], columns: u16) -> Vec<Vec<(u16, &Told)>> {
    let mut rows: Vec<Vec<(u16, &Told)>> = Vec::new();
    let mut used = 0;
    for figure in figures {
        let Some(number) = letters::large_width(&figure.number) else { continue };
        let wide = number.max(u16::try_from(width(&figure.what)).unwrap_or(u16::MAX));
        if wide > columns {
            continue;
        }
        match rows.last_mut() {
            Some(last) if used + GAP + wide <= columns => {
                last.push((wide, figure));
                used += GAP + wide;
            }
            _ => {
                rows.push(vec![(wide, figure)]);
                used = wide;
            }
        }
    }
    rows
}

/// Rows a row of large figures takes with what they count beneath.
const FIGURES: u16 = letters::LARGE + 1;

/// Writes a step as large as it goes into `area`; `card`: the card's figures of what is in hand, for a step whose words
/// have none.
pub(super) fn draw(buf: &mut Buffer, area: Rect, text: &str, card: Vec<Told>, paint: Paint<'_>) {
    let own = figures(text);
    let told = !own.is_empty();
    let figures = if told { own } else { card };
    let large = rows_of(&figures, area.width);
    let all = (FIGURES + 1) * u16::try_from(large.len()).unwrap_or(u16::MAX).min(99);
    let lines = wrap(text, usize::from(area.width));
    let count = u16::try_from(lines.len()).unwrap_or(u16::MAX);
    let apart = count.saturating_mul(2).saturating_sub(1);
    // Figures that the words do not have are worth more than large words.
    let set = middle(text, area, paint).filter(|set| told || set.rows().saturating_add(all) <= area.height);
    let used = if let Some(set) = set {
        draw_middle(&set, buf, area, paint);
        set.rows() + 1
    } else {
        let step = if apart.saturating_add(all) <= area.height { 2 } else { 1 };
        for (nth, text) in lines.iter().enumerate() {
            line(buf, row(area, u16::try_from(nth).unwrap_or(u16::MAX).saturating_mul(step)), text, paint);
        }
        (count.saturating_mul(step)).saturating_add(step % 2)
    };
    let rest = Rect { y: area.y + used.min(area.height), height: area.height.saturating_sub(used), ..area };
    draw_figures(buf, rest, large, paint);
}

/// The first figure of a text with what it counts, as a text of its own: of a list's line the number that is to be counted out.
pub(super) fn first_figure(text: &str) -> Option<String> {
    figures(text).into_iter().next().map(|told| format!("{} {}", told.number, told.what))
}

/// Writes a text as large as it goes, and one figure of it in the largest letters.
pub(super) fn draw_with(buf: &mut Buffer, area: Rect, text: &str, figure: Option<&str>, paint: Paint<'_>) {
    let set = middle(text, Rect { height: area.height.saturating_sub(FIGURES + 1), ..area }, paint);
    let used = match &set {
        Some(set) => {
            draw_middle(set, buf, area, paint);
            set.rows() + 1
        }
        None => {
            let lines = wrap(text, usize::from(area.width));
            for (nth, text) in lines.iter().enumerate() {
                line(buf, row(area, u16::try_from(nth).unwrap_or(u16::MAX)), text, paint);
            }
            u16::try_from(lines.len() + 1).unwrap_or(u16::MAX)
        }
    };
    let used = used.min(area.height);
    draw_large(buf, Rect { y: area.y + used, height: area.height - used, ..area }, figure.as_slice(), paint);
}

/// Writes the figures of several steps in large letters, as many rows of them as there is room for.
pub(super) fn draw_large(buf: &mut Buffer, area: Rect, texts: &[&str], paint: Paint<'_>) {
    let figures: Vec<Told> = texts.iter().flat_map(|text| figures(text)).collect();
    draw_figures(buf, area, rows_of(&figures, area.width), paint);
}

fn draw_figures(buf: &mut Buffer, area: Rect, large: Vec<Vec<(u16, &Told)>>, paint: Paint<'_>) {
    let mut rest = area;
    for figures in large {
        if rest.height < FIGURES {
            break;
        }
        let mut x = 0;
        for (wide, figure) in figures {
            letters::draw_large(buf, rest, x, &figure.number, paint.glyphs.full, paint.styles.title);
            let below = row(rest, letters::LARGE);
            let style = paint.styles.plain.add_modifier(Modifier::BOLD);
            put(buf, below, below.x + x, below.y, &fit(&figure.what, usize::from(wide), paint.glyphs.cut), style);
            x += wide + GAP;
        }
        let used = (FIGURES + 1).min(rest.height);
        rest = Rect { y: rest.y + used, height: rest.height - used, ..rest };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_figures_of_a_step_are_found_with_what_they_count() {
        let found = |text: &str| figures(text).iter().map(|told| format!("{} {}", told.number, told.what).trim_end().to_owned()).collect::<Vec<_>>();
        assert_eq!(found("Tie in 24 fibres of flank, tips over the eye, 10.3 mm long."), ["24 fibres", "10.3 mm long"]);
        assert_eq!(found("A pinch of mole on the silk; two or three turns, no more than a mist."), ["2-3 turns"]);
        assert_eq!(found("Clear the eye, five turns, whip off."), ["5 turns"]);
        assert_eq!(found("Wind 7 turns in all, behind the wing first."), ["7 turns"]);
        assert_eq!(found("Dub a body of 5.9 mm, rising toward the wing."), ["5.9 mm"]);
        assert_eq!(found("Tie in 5 fibres, 5.6 mm long, then the copper wire."), ["5 fibres", "5.6 mm long"]);
        assert!(found("Wire the other way in open turns, and off behind the wing. (Not on the female.)").is_empty());
        assert!(found("").is_empty());
    }
}
