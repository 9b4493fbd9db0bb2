//! Colours of materials, for the drawing: `"#8a7f5c"`, or a word of the open list of the web.

use super::value::Value;
use crate::diagnostic::did_you_mean;
use crate::measure::words::fold;

/// Named colours of CSS Color Module Level 4 (W3C), chapter 6.1: those a dresser might say.
const NAMED: &[(&str, u32)] = &[
    ("beige", 0x00F5_F5DC),
    ("black", 0x0000_0000),
    ("blue", 0x0000_00FF),
    ("brown", 0x00A5_2A2A),
    ("chartreuse", 0x007F_FF00),
    ("chocolate", 0x00D2_691E),
    ("coral", 0x00FF_7F50),
    ("crimson", 0x00DC_143C),
    ("dark olive", 0x0055_6B2F),
    ("firebrick", 0x00B2_2222),
    ("gold", 0x00FF_D700),
    ("gray", 0x0080_8080),
    ("green", 0x0000_8000),
    ("grey", 0x0080_8080),
    ("ivory", 0x00FF_FFF0),
    ("khaki", 0x00F0_E68C),
    ("lavender", 0x00E6_E6FA),
    ("magenta", 0x00FF_00FF),
    ("maroon", 0x0080_0000),
    ("navy", 0x0000_0080),
    ("olive", 0x0080_8000),
    ("orange", 0x00FF_A500),
    ("pink", 0x00FF_C0CB),
    ("plum", 0x00DD_A0DD),
    ("purple", 0x0080_0080),
    ("red", 0x00FF_0000),
    ("salmon", 0x00FA_8072),
    ("sienna", 0x00A0_522D),
    ("silver", 0x00C0_C0C0),
    ("tan", 0x00D2_B48C),
    ("teal", 0x0000_8080),
    ("tomato", 0x00FF_6347),
    ("turquoise", 0x0040_E0D0),
    ("violet", 0x00EE_82EE),
    ("wheat", 0x00F5_DEB3),
    ("white", 0x00FF_FFFF),
    ("yellow", 0x00FF_FF00),
];

/// The colour a value names: red, green, blue.
pub(crate) fn read(value: &Value<'_>) -> Option<[u8; 3]> {
    let told = value.text()?;
    let word = fold(&told.value);
    let figures = word.strip_prefix('#').unwrap_or(&word);
    let hex = (figures.len() == 6).then(|| u32::from_str_radix(figures, 16).ok()).flatten();
    match hex.or_else(|| NAMED.iter().find(|(name, _)| *name == word).map(|(_, rgb)| *rgb)) {
        Some(rgb) => {
            let [_, red, green, blue] = rgb.to_be_bytes();
            Some([red, green, blue])
        }
        None => {
            let near = did_you_mean(&word, NAMED.iter().map(|(name, _)| *name));
            let names = || NAMED.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
            value.wrong(
                format!("\"{}\" is not a colour known here", told.value),
                near.unwrap_or_else(|| format!("six figures of red, green and blue in quotes, such as `\"#8a7f5c\"`, or one of {}", names())),
            );
            None
        }
    }
}
