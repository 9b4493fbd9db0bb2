//! Reads the figures that stand on the command line, collects what is wrong with them, and says so at once.

use super::Verdict;
use super::out::Out;
use crate::measure::{Dimension, Fault, Fraction, Quantity, Unit};
use serde_json::json;

/// What an option measures, and within which bounds.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// In words, with its article: "a length".
    pub noun: &'static str,
    /// The unit its figure is given in.
    pub unit: Unit,
    /// Whether a bare figure is of that unit.
    pub bare: bool,
    /// Whether it must be more than nought.
    pub over_nought: bool,
    /// The most it may be, in its unit. Beyond it lies a slip of the pen, not a bench.
    pub most: f64,
    /// What would be right.
    pub example: &'static str,
}

/// A length, 0 to 10 m; given in mm.
pub const LENGTH: Measure = Measure { noun: "a length", unit: Unit::Mm, bare: false, over_nought: false, most: 10_000.0, example: "2.3 mm" };
/// A mass, 0 to 100 kg; given in g, which a bare figure is too: scales at a bench read grams.
pub const MASS: Measure = Measure { noun: "a mass", unit: Unit::G, bare: true, over_nought: false, most: 100_000.0, example: "12.3 g" };
/// A density, over 0, up to 30 g/cm³ (no substance known is denser than 23).
pub const DENSITY: Measure = Measure { noun: "a density", unit: Unit::GPerCm3, bare: true, over_nought: true, most: 30.0, example: "1.38 g/cm3" };
/// A share of a section: over 0, up to 1.
pub const SHARE: Measure = Measure { noun: "a share", unit: Unit::One, bare: true, over_nought: true, most: 1.0, example: "0.75" };
/// A number of turns, 0 to 100,000.
pub const TURNS: Measure =
    Measure { noun: "a number of turns", unit: Unit::One, bare: true, over_nought: false, most: 100_000.0, example: "5, 2 1/2 or touching" };

/// A linear density in one of its units, over 0, up to a million.
pub const fn linear_density(unit: Unit) -> Measure {
    Measure { noun: "a linear density", unit, bare: true, over_nought: true, most: 1_000_000.0, example: "72" }
}

/// A figure on the command line that cannot be used.
#[derive(Clone, Debug)]
struct Refused {
    option: &'static str,
    text: String,
    fault: Fault,
}

/// Reads options one after another and remembers what was wrong.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    refused: Vec<Refused>,
}

impl Asked {
    /// The option's figure in the measure's unit; `None`, with a fault noted, where it is not such a figure.
    pub fn figure(&mut self, option: &'static str, text: &str, measure: &Measure) -> Option<f64> {
        match read(text, measure) {
            Ok(figure) => Some(figure),
            Err(fault) => self.refuse(option, text, fault),
        }
    }

    /// Notes a fault of an option; always `None`.
    pub fn refuse<T>(&mut self, option: &'static str, text: &str, fault: Fault) -> Option<T> {
        self.refused.push(Refused { option, text: text.to_owned(), fault });
        None
    }

    /// Tells all faults noted: as `{"error": ...}` to standard output, or in words to standard error.
    pub fn tell(&self, as_json: bool, out: &mut Out) -> Verdict {
        if as_json {
            let all: Vec<String> = self.refused.iter().map(Refused::in_a_line).collect();
            out.json(&json!({ "error": all.join("; ") }));
        } else {
            for refused in &self.refused {
                out.trouble(&format!("herl: {}: {}", refused.option, refused.fault.what));
                out.trouble(&format!("  given: {} {}", refused.option, quoted(&refused.text)));
                if let Some(right) = &refused.fault.right {
                    out.trouble(&format!("  right: {right}"));
                }
            }
        }
        Verdict::Findings
    }
}

impl Refused {
    fn in_a_line(&self) -> String {
        let right = self.fault.right.as_ref().map(|right| format!(" (right: {right})")).unwrap_or_default();
        format!("{} {}: {}{right}", self.option, quoted(&self.text), self.fault.what)
    }
}

/// The text as given, between quotes, on one line, and not beyond what a line can show.
pub(super) fn quoted(text: &str) -> String {
    const MOST: usize = 60;
    let start: String = text.chars().take(MOST).collect();
    let more = if start.len() < text.len() { "..." } else { "" };
    format!("\"{}{more}\"", start.replace(['\n', '\r'], " "))
}

/// Lets a value begin with a hyphen, so that `-3mm` reaches our own check, but not be another option: that one's
/// value was forgotten.
pub fn value(text: &str) -> Result<String, String> {
    if text.starts_with("--") { Err(format!("a value is missing before {text}")) } else { Ok(text.to_owned()) }
}

fn read(text: &str, measure: &Measure) -> Result<f64, Fault> {
    let fault = |what: String, bound: &str| Fault::new(what, 0..text.len()).right(format!("{}{bound} such as {}", measure.noun, measure.example));
    let body = text.trim().trim_start_matches('-').trim_start();
    if Fraction::read(body).is_none() {
        let begun = body.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let what = if begun { "has more digits than can be read, or nought below the line" } else { "is no figure" };
        return Err(fault(format!("{} {what}", quoted(text)), ""));
    }
    let quantity = Quantity::read(text).map_err(|told| if told.what.contains("not a unit") { fault(told.what, "") } else { told })?;
    let bare = quantity.unit == Unit::One;
    if bare && !measure.bare && text.contains('%') {
        return Err(fault(format!("{} is a share, not {}", quoted(text), measure.noun), ""));
    }
    let name = measure.unit.name();
    if bare && !measure.bare {
        let right = format!("add the unit, such as `{} {name}`", quantity.figure);
        return Err(Fault::new(format!("{} has no unit", quoted(text)), 0..text.len()).right(right));
    }
    let unit = if bare { measure.unit } else { quantity.unit };
    if unit.dimension() != measure.unit.dimension() || (unit.dimension() == Dimension::LinearDensity && unit != measure.unit) {
        return Err(fault(format!("{} is in {}, which is not {}", quoted(text), unit.name(), own_words(measure)), ""));
    }
    let figure = Quantity { figure: quantity.figure, unit }.in_unit(measure.unit).filter(|figure| figure.is_finite());
    match figure {
        None => Err(fault(format!("{} is too large to reckon with", quoted(text)), "")),
        Some(figure) if figure < 0.0 => Err(fault(format!("{} is below nought", quoted(text)), " not below nought,")),
        Some(figure) if figure == 0.0 && measure.over_nought => Err(fault(format!("{} is nought", quoted(text)), " over nought,")),
        Some(figure) if figure > measure.most => {
            let most = format!("{} {name}", measure.most);
            Err(fault(format!("{} is more than the most taken here, {}", quoted(text), most.trim_end()), ""))
        }
        Some(figure) => Ok(figure),
    }
}

/// What the measure wants, where its unit is fixed by the option.
fn own_words(measure: &Measure) -> &'static str {
    if measure.unit.dimension() == Dimension::LinearDensity { measure.unit.name() } else { measure.noun }
}

/// A figure as shown in words: at most four decimals, and none that are nought.
///
/// ```
/// use herl::cli::asked::shown;
/// assert_eq!(shown(82.5), "82.5");
/// assert_eq!(shown(1.0 / 3.0), "0.3333");
/// assert_eq!(shown(0.000_012_346), "0.00001235");
/// assert_eq!(shown(60.0), "60");
/// ```
pub fn shown(figure: f64) -> String {
    // A figure under a thousandth keeps four digits that mean something.
    let decimals = if figure != 0.0 && figure.abs() < 1e-3 { (3.0 - figure.abs().log10().floor()).clamp(4.0, 20.0) as usize } else { 4 };
    let text = format!("{figure:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A number of turns as written: a fraction, or `touching`, which is `None`.
pub fn turns(asked: &mut Asked, option: &'static str, text: &str) -> Option<Option<f64>> {
    if text.trim().eq_ignore_ascii_case("touching") {
        return Some(None);
    }
    // Read by the fraction's own rule first: a unit has no place here.
    match Fraction::parse(text) {
        Some(_) => asked.figure(option, text, &TURNS).map(Some),
        None => {
            let fault = Fault::new(format!("{} is no number of turns", quoted(text)), 0..text.len());
            asked.refuse(option, text, fault.right(format!("{} such as {}", TURNS.noun, TURNS.example)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn told(text: &str, measure: &Measure) -> String {
        let fault = read(text, measure).unwrap_err();
        format!("{} | {}", fault.what, fault.right.unwrap_or_default())
    }

    #[test]
    fn lengths_with_their_units() {
        assert_eq!(read("2.3mm", &LENGTH), Ok(2.3));
        assert_eq!(read(" 2.3 mm ", &LENGTH), Ok(2.3));
        assert_eq!(read("0.1in", &LENGTH), Ok(2.54));
        assert_eq!(read("1 1/2 in", &LENGTH), Ok(38.1));
        assert_eq!(read("0 mm", &LENGTH), Ok(0.0));
    }

    #[test]
    fn what_is_wrong_and_what_would_be_right() {
        assert_eq!(told("2.3", &LENGTH), "\"2.3\" has no unit | add the unit, such as `2.3 mm`");
        assert!(told("-3mm", &LENGTH).contains("below nought"));
        assert!(told("3 g", &LENGTH).contains("not a length"));
        assert!(told("12 %", &LENGTH).contains("not a length"));
        assert!(told("NaN", &LENGTH).contains("no figure"));
        assert!(told("inf mm", &LENGTH).contains("no figure"));
        assert!(told("1e999 mm", &LENGTH).contains("e999"));
        assert!(told("99999999999999999999999 mm", &LENGTH).contains("more digits"));
        assert!(told("1/0 mm", &LENGTH).contains("nought below the line"));
        assert!(told("11 m", &LENGTH).contains("10000 mm"));
        assert!(told("1,5 mm", &LENGTH).contains("`1.5 mm`"));
        assert!(told("1140 kg/m3", &DENSITY).contains("1.38 g/cm3"));
        assert!(told("8 tex", &linear_density(Unit::Denier)).contains("not denier"));
        assert!(told("0", &DENSITY).contains("nought"));
        assert!(told("1.2", &SHARE).contains("most taken here, 1"));
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_panic(text in "\\PC{0,40}") {
            for measure in [LENGTH, MASS, DENSITY, SHARE, TURNS, linear_density(Unit::Tex)] {
                prop_assert!(read(&text, &measure).is_ok_and(f64::is_finite) || read(&text, &measure).is_err());
            }
        }
    }
}
