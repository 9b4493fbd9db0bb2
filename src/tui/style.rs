//! From a theme's few colours to every style, and from there to what the terminal can show.
//!
//! Colour is never the only sign: what is chosen is reversed, what is weak has its letter, what is broken its mark.

use ratatui::buffer::Buffer;
use ratatui::style::{Color, Modifier, Style};

pub use crate::bench::theme::{Colours, Rgb, Theme, contrast, toward};

/// How many colours the terminal shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Depth {
    /// None: bold, underline and reverse carry everything.
    None,
    /// The 256 of xterm.
    Indexed,
    /// Any red, green and blue.
    #[default]
    Full,
}

/// Every style of the screen.
#[derive(Clone, Copy, Debug)]
pub struct Styles {
    /// Text.
    pub plain: Style,
    /// What stands back.
    pub quiet: Style,
    /// Titles and keys.
    pub title: Style,
    /// The row or figure chosen where the keys go.
    pub chosen: Style,
    /// The row or figure chosen in a part of the screen the keys do not go to.
    pub kept: Style,
    /// Weak figures, advice.
    pub weak: Style,
    /// What is broken.
    pub fault: Style,
    /// The bar at the head and the foot.
    pub bar: Style,
}

impl Styles {
    /// The styles of a theme; without colour they differ by bold, underline and reverse.
    pub fn of(colours: Option<&Colours>) -> Self {
        let Some(theme) = colours else {
            let plain = Style::new();
            return Styles {
                plain,
                quiet: plain,
                title: plain.add_modifier(Modifier::BOLD),
                chosen: plain.add_modifier(Modifier::REVERSED),
                kept: plain.add_modifier(Modifier::UNDERLINED),
                weak: plain.add_modifier(Modifier::ITALIC),
                fault: plain.add_modifier(Modifier::BOLD),
                bar: plain,
            };
        };
        let on_ground = |colour: Rgb| Style::new().fg(rgb(colour)).bg(rgb(theme.ground));
        let raised = theme.raised();
        Styles {
            plain: on_ground(theme.ink),
            quiet: on_ground(theme.quiet),
            title: on_ground(theme.bright).add_modifier(Modifier::BOLD),
            chosen: Style::new().fg(rgb(theme.ground)).bg(rgb(theme.bright)).add_modifier(Modifier::BOLD),
            kept: Style::new().fg(rgb(theme.ink)).bg(rgb(raised)).add_modifier(Modifier::UNDERLINED),
            weak: on_ground(theme.weak),
            fault: on_ground(theme.fault).add_modifier(Modifier::BOLD),
            bar: Style::new().fg(rgb(theme.ink)).bg(rgb(raised)),
        }
    }

    /// A key among hints on the bar.
    pub fn bar_key(&self, colours: Option<&Colours>) -> Style {
        colours.map_or(self.title, |theme| self.bar.fg(rgb(theme.bright)).add_modifier(Modifier::BOLD))
    }
}

/// A colour of the terminal.
pub fn rgb([red, green, blue]: Rgb) -> Color {
    Color::Rgb(red, green, blue)
}

/// Contrast a mark has at least on the ground: a compromise, for a black hackle must still look black on a dark ground.
pub const SEEN: f64 = 2.0;
/// Contrast of what has to stand out (WCAG 2.2, 1.4.11: 3 to 1 for graphics).
pub const CLEAR: f64 = 3.0;

/// A material's colour made fit to be seen on the ground: moved toward the ink no further than it must.
pub fn seen(colour: Rgb, theme: &Colours, least: f64) -> Rgb {
    (0..=10).map(|tenth| toward(colour, theme.ink, f64::from(tenth) / 10.0)).find(|mixed| contrast(*mixed, theme.ground) >= least).unwrap_or(theme.ink)
}

/// Brings a finished screen to what the terminal shows.
pub fn settle(buf: &mut Buffer, depth: Depth) {
    let fit = |colour: Color| match (depth, colour) {
        (Depth::None, _) => Color::Reset,
        (Depth::Indexed, Color::Rgb(red, green, blue)) => Color::Indexed(nearest([red, green, blue])),
        (_, colour) => colour,
    };
    for cell in &mut buf.content {
        cell.fg = fit(cell.fg);
        cell.bg = fit(cell.bg);
    }
}

/// The nearest of xterm's 6 x 6 x 6 cube and its 24 greys.
fn nearest(colour: Rgb) -> u8 {
    const LEVELS: [u8; 6] = [0, 95, 135, 175, 215, 255];
    let far = |other: Rgb| (0..3).map(|i| (i32::from(colour[i]) - i32::from(other[i])).pow(2)).sum::<i32>();
    let step = |part: u8| (0..6u8).min_by_key(|i| (i32::from(part) - i32::from(LEVELS[usize::from(*i)])).abs()).unwrap_or(0);
    let [red, green, blue] = colour.map(step);
    let cube = [red, green, blue].map(|i| LEVELS[usize::from(i)]);
    let average = colour.iter().map(|part| u16::from(*part)).sum::<u16>() / 3;
    let grey = (average.saturating_sub(3) / 10).min(23) as u8;
    let level = 8 + 10 * grey;
    if far([level; 3]) < far(cube) { 232 + grey } else { 16 + 36 * red + 6 * green + blue }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::theme::built_in;

    #[test]
    fn contrast_of_black_and_white_is_21() {
        assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
        // A grey of 0x77 on white is the well-known near miss: 4.48 (WCAG 2.2 by its own formula).
        assert!((contrast([0x77; 3], [255; 3]) - 4.478).abs() < 0.001);
    }

    #[test]
    fn all_text_can_be_read() {
        for theme in built_in() {
            let Some(colours) = &theme.colours else { continue };
            let styles = Styles::of(Some(colours));
            let all =
                [styles.plain, styles.quiet, styles.title, styles.chosen, styles.kept, styles.weak, styles.fault, styles.bar, styles.bar_key(Some(colours))];
            for style in all {
                let (Some(Color::Rgb(r, g, b)), Some(Color::Rgb(x, y, z))) = (style.fg, style.bg) else { panic!("{style:?}") };
                let ratio = contrast([r, g, b], [x, y, z]);
                assert!(ratio >= 4.5, "{}: {style:?} has {ratio:.2}", theme.name);
            }
        }
    }

    #[test]
    fn a_black_hackle_is_seen_on_a_dark_ground() {
        let theme = Theme::default().colours.unwrap();
        assert!(contrast(seen([0; 3], &theme, CLEAR), theme.ground) >= CLEAR);
        assert_eq!(seen([255, 255, 0], &theme, SEEN), [255, 255, 0]);
    }

    #[test]
    fn pure_colours_have_their_own_place_among_256() {
        assert_eq!(nearest([255, 0, 0]), 196);
        assert_eq!(nearest([128, 128, 128]), 244);
    }
}
