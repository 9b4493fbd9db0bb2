//! What a colour becomes on white paper, and how a figure is written in a drawing.

/// The colours a part is drawn with on white paper, as `#rrggbb`.
pub(super) struct Ink {
    /// For areas: the colour itself.
    pub(super) fill: String,
    /// For fine lines: dark enough to be seen on white.
    pub(super) line: String,
    /// For edges and seams: darker than the area.
    pub(super) edge: String,
}

impl Ink {
    pub(super) fn new(colour: [u8; 3]) -> Self {
        let luminance = luminance(colour);
        // A contrast of about 1.6 to white lets a fine line be seen; the colour keeps its hue.
        let line = if luminance > 0.6 { (0.6 / luminance).powf(1.0 / 2.2) } else { 1.0 };
        // On a nearly black part a darker seam would not be seen: there it is lighter.
        let edge = if luminance < 0.03 { darker([0x70, 0x70, 0x70], 1.0) } else { darker(colour, 0.6) };
        Ink { fill: darker(colour, 1.0), line: darker(colour, line), edge }
    }
}

fn darker(colour: [u8; 3], by: f64) -> String {
    let [red, green, blue] = colour.map(|part| (f64::from(part) * by).round().clamp(0.0, 255.0) as u8);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// Relative luminance, 0 to 1 (WCAG 2.1, definition of relative luminance).
fn luminance(colour: [u8; 3]) -> f64 {
    let [red, green, blue] = colour.map(|part| {
        let share = f64::from(part) / 255.0;
        if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Millimetres to a ten-thousandth, without idle noughts: finer than any printer, and short.
pub(super) fn plain(mm: f64) -> String {
    let text = format!("{mm:.4}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_short_and_true() {
        assert_eq!((plain(10.0), plain(-0.00001), plain(2.54)), ("10".into(), "0".into(), "2.54".into()));
    }

    #[test]
    fn a_white_fibre_is_drawn_where_white_paper_shows_it() {
        let white = Ink::new([255, 255, 255]);
        assert_eq!(white.fill, "#ffffff");
        assert_ne!(white.line, "#ffffff");
        assert!(luminance([255, 255, 255]) > 0.99 && luminance([0, 0, 0]) < 0.01);
    }
}
