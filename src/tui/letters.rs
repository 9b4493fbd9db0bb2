//! Letters of several cells, to be read from an arm's length and more. Their form is our own: five dots high, and as
//! wide as each needs. *Middle* letters have two dots to a cell one above the other, *large* ones two cells to a dot; a
//! [`Set`] has them in any size.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// Rows of dots of a letter.
const HIGH: usize = 5;
/// Rows of dots from the top of one line of middle letters to the top of the next.
const PITCH: usize = 7;
/// Columns of dots between two words.
const GAP: usize = 3;
/// Rows of cells large letters take.
pub const LARGE: u16 = HIGH as u16;

/// A letter's rows of dots from the top.
type Form = [&'static str; HIGH];

#[rustfmt::skip]
const FORMS: &[(char, Form)] = &[
    ('A', [".#.", "#.#", "###", "#.#", "#.#"]),
    ('B', ["##.", "#.#", "##.", "#.#", "##."]),
    ('C', [".##", "#..", "#..", "#..", ".##"]),
    ('D', ["##.", "#.#", "#.#", "#.#", "##."]),
    ('E', ["###", "#..", "##.", "#..", "###"]),
    ('F', ["###", "#..", "##.", "#..", "#.."]),
    ('G', [".###", "#...", "#.##", "#..#", ".###"]),
    ('H', ["#.#", "#.#", "###", "#.#", "#.#"]),
    ('I', ["#", "#", "#", "#", "#"]),
    ('J', ["..#", "..#", "..#", "#.#", ".#."]),
    ('K', ["#.#", "#.#", "##.", "#.#", "#.#"]),
    ('L', ["#..", "#..", "#..", "#..", "###"]),
    ('M', ["#...#", "##.##", "#.#.#", "#...#", "#...#"]),
    ('N', ["#..#", "##.#", "#.##", "#..#", "#..#"]),
    ('O', [".##.", "#..#", "#..#", "#..#", ".##."]),
    ('P', ["##.", "#.#", "##.", "#..", "#.."]),
    ('Q', [".##.", "#..#", "#..#", "#.#.", ".#.#"]),
    ('R', ["##.", "#.#", "##.", "#.#", "#.#"]),
    ('S', [".##", "#..", ".#.", "..#", "##."]),
    ('T', ["###", ".#.", ".#.", ".#.", ".#."]),
    ('U', ["#.#", "#.#", "#.#", "#.#", "###"]),
    ('V', ["#.#", "#.#", "#.#", "#.#", ".#."]),
    ('W', ["#...#", "#...#", "#.#.#", "##.##", "#...#"]),
    ('X', ["#.#", "#.#", ".#.", "#.#", "#.#"]),
    ('Y', ["#.#", "#.#", ".#.", ".#.", ".#."]),
    ('Z', ["###", "..#", ".#.", "#..", "###"]),
    ('0', ["###", "#.#", "#.#", "#.#", "###"]),
    ('1', [".#", "##", ".#", ".#", ".#"]),
    ('2', ["###", "..#", "###", "#..", "###"]),
    ('3', ["###", "..#", "###", "..#", "###"]),
    ('4', ["#.#", "#.#", "###", "..#", "..#"]),
    ('5', ["###", "#..", "###", "..#", "###"]),
    ('6', ["###", "#..", "###", "#.#", "###"]),
    ('7', ["###", "..#", "..#", ".#.", ".#."]),
    ('8', ["###", "#.#", "###", "#.#", "###"]),
    ('9', ["###", "#.#", "###", "..#", "###"]),
    ('.', [".", ".", ".", ".", "#"]),
    (',', ["..", "..", "..", ".#", "#."]),
    (';', ["..", ".#", "..", ".#", "#."]),
    (':', [".", "#", ".", "#", "."]),
    ('!', ["#", "#", "#", ".", "#"]),
    ('?', ["##.", "..#", ".#.", "...", ".#."]),
    ('\'', ["#", "#", ".", ".", "."]),
    ('"', ["#.#", "#.#", "...", "...", "..."]),
    ('-', ["...", "...", "###", "...", "..."]),
    ('/', ["..#", "..#", ".#.", "#..", "#.."]),
    ('(', [".#", "#.", "#.", "#.", ".#"]),
    (')', ["#.", ".#", ".#", ".#", "#."]),
    ('+', ["...", ".#.", "###", ".#.", "..."]),
    ('±', [".#.", "###", ".#.", "...", "###"]),
    ('×', ["...", "#.#", ".#.", "#.#", "..."]),
];

/// Millimetres are never written with capitals.
const SMALL_M: Form = [".....", "####.", "#.#.#", "#.#.#", "#.#.#"];

fn form(c: char, unit: bool) -> Option<&'static Form> {
    if unit && c == 'm' {
        return Some(&SMALL_M);
    }
    let c = match c {
        '\u{2013}' | '\u{2014}' => '-',
        '\u{2018}' | '\u{2019}' => '\'',
        '\u{201c}' | '\u{201d}' => '"',
        c => c.to_ascii_uppercase(),
    };
    FORMS.iter().find(|(one, _)| *one == c).map(|(_, form)| form)
}

/// The forms of a word, all letters as capitals but those of `mm`; `None` where a letter has no form here.
fn forms(word: &str) -> Option<Vec<&'static Form>> {
    let unit = word.trim_end_matches(|c: char| c.is_ascii_punctuation()) == "mm";
    word.chars().map(|c| form(c, unit)).collect()
}

fn wide(forms: &[&Form]) -> usize {
    forms.iter().map(|form| form[0].len() + 1).sum::<usize>().saturating_sub(1)
}

/// Columns of cells a word takes in large letters; `None` where it cannot be written so.
pub fn large_width(word: &str) -> Option<u16> {
    u16::try_from(wide(&forms(word)?) * 2).ok()
}

/// How large the dots of letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Columns of cells to a dot.
    across: usize,
    /// Half rows of cells to a dot.
    down: usize,
}

impl Size {
    /// One column and half a row.
    pub const MIDDLE: Size = Size { across: 1, down: 1 };

    /// Sizes from the smallest to the largest. A cell is about twice as high as wide, so the dots are about square.
    /// Plain signs cannot fill half a row: there the smallest letters are narrow.
    pub fn all(unicode: bool) -> &'static [Size] {
        const fn size(across: usize, down: usize) -> Size {
            Size { across, down }
        }
        const ALL: &[Size] = &[size(1, 1), size(2, 2), size(3, 3), size(4, 4), size(5, 5), size(6, 6), size(7, 7), size(8, 8), size(10, 10), size(12, 12)];
        const WHOLE: &[Size] = &[size(1, 2), size(2, 2), size(3, 4), size(4, 4), size(5, 6), size(6, 6), size(8, 8), size(10, 10), size(12, 12)];
        if unicode { ALL } else { WHOLE }
    }

    /// Rows of cells that one line of letters takes.
    pub fn rows(self) -> u16 {
        u16::try_from((HIGH * self.down).div_ceil(2)).unwrap_or(u16::MAX)
    }

    /// Columns of cells words take on one line; `None` where a letter has no form here.
    pub fn width(self, text: &str) -> Option<u16> {
        Some(Set::of(text, u16::MAX, self)?.columns())
    }
}

/// Words in lines of letters of one size.
pub struct Set<'a> {
    /// Each word with the column of dots it begins at.
    lines: Vec<Vec<(usize, &'a str)>>,
    size: Size,
}

impl<'a> Set<'a> {
    /// Sets words in lines of so many columns of cells; `None` where a letter has no form here, or a word is wider than
    /// a line.
    pub fn of(text: &'a str, columns: u16, size: Size) -> Option<Self> {
        let columns = usize::from(columns) / size.across;
        let mut lines: Vec<Vec<(usize, &str)>> = vec![Vec::new()];
        let mut x = 0;
        for word in text.split_whitespace() {
            let wide = wide(&forms(word)?);
            if wide > columns {
                return None;
            }
            if x + wide > columns {
                lines.push(Vec::new());
                x = 0;
            }
            lines.last_mut()?.push((x, word));
            x += wide + GAP;
        }
        Some(Set { lines, size })
    }

    /// Rows of cells it takes.
    pub fn rows(&self) -> u16 {
        let dots = (self.lines.len() * PITCH).saturating_sub(PITCH - HIGH);
        u16::try_from((dots * self.size.down).div_ceil(2)).unwrap_or(u16::MAX)
    }

    /// Columns of cells its longest line takes.
    pub fn columns(&self) -> u16 {
        let end = |(x, word): &(usize, &str)| x + forms(word).map_or(0, |forms| wide(&forms));
        let dots = self.lines.iter().filter_map(|line| line.last()).map(end).max().unwrap_or(0);
        u16::try_from(dots * self.size.across).unwrap_or(u16::MAX)
    }

    /// Paints it from the upper left corner of `area` on, of this sign where that is not a full block; `style` of each
    /// word.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, sign: &str, style: &dyn Fn(&str) -> Style) {
        let Size { across, down } = self.size;
        for (nth, line) in self.lines.iter().enumerate() {
            for (x, word) in line {
                let Some(forms) = forms(word) else { continue };
                let mut x = *x;
                for form in forms {
                    for (y, dots) in form.iter().enumerate() {
                        for (column, _) in dots.bytes().enumerate().filter(|(_, dot)| *dot == b'#') {
                            let (left, top) = ((x + column) * across, (nth * PITCH + y) * down);
                            for (x, y) in (top..top + down).flat_map(|y| (left..left + across).map(move |x| (x, y))) {
                                half(buf, area, x, y, sign, style(word));
                            }
                        }
                    }
                    x += form[0].len() + 1;
                }
            }
        }
    }
}

/// Words in lines of middle letters.
pub struct Middle<'a>(Set<'a>);

impl<'a> Middle<'a> {
    /// Sets words in lines of so many columns; `None` where a letter has no form here, or a word is wider than a line.
    pub fn set(text: &'a str, columns: u16) -> Option<Self> {
        Set::of(text, columns, Size::MIDDLE).map(Middle)
    }

    /// Rows of cells it takes.
    pub fn rows(&self) -> u16 {
        self.0.rows()
    }

    /// Paints it from the upper left corner of `area` on; `style` of each word.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, style: &dyn Fn(&str) -> Style) {
        self.0.draw(buf, area, FULL, style);
    }
}

/// A full block: cells that are half lit are half blocks with it.
const FULL: &str = "█";

/// Lights the upper or the lower half of a cell; of another sign than the full block, the whole of it.
fn half(buf: &mut Buffer, area: Rect, x: usize, y: usize, sign: &str, style: Style) {
    let Some(cell) = cell(area, x, y / 2).and_then(|place| buf.cell_mut(place)) else { return };
    if sign != FULL {
        cell.set_symbol(sign).set_style(style);
        return;
    }
    let (own, other) = if y.is_multiple_of(2) { ("▀", "▄") } else { ("▄", "▀") };
    let both = cell.symbol() == other || cell.symbol() == FULL;
    cell.set_symbol(if both { FULL } else { own }).set_style(style);
}

/// Paints a word in large letters from column `x` on, within `area` alone; `dot` is what a lit cell shows.
pub fn draw_large(buf: &mut Buffer, area: Rect, x: u16, word: &str, dot: &str, style: Style) {
    let mut x = usize::from(x);
    for form in forms(word).unwrap_or_default() {
        for (y, dots) in form.iter().enumerate() {
            for (column, _) in dots.bytes().enumerate().filter(|(_, lit)| *lit == b'#') {
                for place in [2 * column, 2 * column + 1].into_iter().filter_map(|column| cell(area, x + column, y)) {
                    if let Some(cell) = buf.cell_mut(place) {
                        cell.set_symbol(dot).set_style(style);
                    }
                }
            }
        }
        x += 2 * (form[0].len() + 1);
    }
}

/// A cell of an area, counted from its corner; `None` beyond it.
fn cell(area: Rect, x: usize, y: usize) -> Option<(u16, u16)> {
    let (x, y) = (u16::try_from(x).ok()?, u16::try_from(y).ok()?);
    (x < area.width && y < area.height).then(|| (area.x.saturating_add(x), area.y.saturating_add(y)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_two_letters_look_alike_and_none_is_ragged() {
        let mut seen = HashSet::new();
        for (letter, form) in FORMS {
            assert!(form.iter().all(|row| row.len() == form[0].len() && row.bytes().all(|dot| b"#.".contains(&dot))), "{letter}");
            assert!(seen.insert(*form), "{letter} looks like another");
        }
        assert!(('a'..='z').chain('0'..='9').all(|c| form(c, false).is_some()));
    }

    #[test]
    fn words_are_set_in_lines_and_what_has_no_form_is_told() {
        let set = Middle::set("Tie in 6 fibres", 30).unwrap();
        assert_eq!((set.0.lines.len(), set.rows()), (2, 6));
        assert!(Middle::set("Tie", 4).is_none());
        assert!(Middle::set("¿", 40).is_none());
        assert_eq!(Middle::set("", 0).map(|set| set.rows()), Some(3));
    }

    #[test]
    fn a_set_takes_the_room_it_says() {
        for unicode in [true, false] {
            let sizes = Size::all(unicode);
            assert!(sizes.windows(2).all(|pair| pair[0].across * pair[0].down < pair[1].across * pair[1].down));
            for size in sizes.iter().filter(|size| size.across <= 3) {
                let set = Set::of("Wind 4 turns", 79, *size).unwrap();
                let area = Rect::new(0, 0, 80, 90);
                let mut buf = Buffer::empty(area);
                set.draw(&mut buf, area, if unicode { FULL } else { "#" }, &|_| Style::new());
                let lit = |x, y| buf.cell((x, y)).is_some_and(|cell| cell.symbol() != " ");
                let last_row = (0..90).filter(|y| (0..80).any(|x| lit(x, *y))).max();
                let last_column = (0..80).filter(|x| (0..90).any(|y| lit(*x, y))).max();
                assert_eq!((last_row, last_column), (Some(set.rows() - 1), Some(set.columns() - 1)), "{size:?}");
            }
        }
        assert_eq!(Set::of("", 0, Size::MIDDLE).map(|set| set.columns()), Some(0));
    }

    #[test]
    fn a_figure_in_large_letters_as_it_is_seen() {
        let area = Rect::new(0, 0, 20, 5);
        let mut buf = Buffer::empty(area);
        draw_large(&mut buf, area, 0, "7.4", "#", Style::new());
        let rows: Vec<String> = (0..5).map(|y| (0..20).map(|x| buf.cell((x, y)).map_or(" ", |cell| cell.symbol())).collect::<String>()).collect();
        assert_eq!(rows, ["######      ##  ##  ", "    ##      ##  ##  ", "    ##      ######  ", "  ##            ##  ", "  ##    ##      ##  "]);
        assert_eq!(large_width("7.4"), Some(18));
    }
}
