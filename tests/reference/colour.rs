//! How far two colours look apart.

use crate::rows::{agree, rows};
use herl::reckon::colour::Lab;

/// Sharma, Wu and Dalal, *Color Research and Application* 30 (2005) 21, table 1: all 34 pairs, to the four decimals printed
/// and to 40-digit arithmetic.
#[test]
fn all_pairs_of_sharma() {
    for row in rows(include_str!("data/ciede2000.csv"), 34) {
        let lab = |n: u8| Lab { lightness: row.figure(&format!("L{n}")), red: row.figure(&format!("a{n}")), yellow: row.figure(&format!("b{n}")) };
        let got = lab(1).difference(lab(2)).unwrap();
        assert!((got - row.figure("printed_4dp")).abs() <= 0.500_001e-4, "pair {}: {got}", row.text("pair"));
        agree(row.text("pair"), Some(got), row.figure("de2000_mpmath"), 1e-11);
        agree(row.text("pair"), lab(2).difference(lab(1)), got, 1e-11);
    }
}

/// Colours of a screen in CIELAB, against another program whose matrix and white differ a little: a hundredth of a
/// lightness.
#[test]
fn colours_of_a_screen() {
    for row in rows(include_str!("data/screen_colours.csv"), 20) {
        let colour = |n: u8| {
            let hex = u32::from_str_radix(row.text(&format!("hex{n}")), 16).unwrap();
            let [_, red, green, blue] = hex.to_be_bytes();
            let lab = Lab::of_screen([red, green, blue]);
            for (got, column) in [(lab.lightness, "L"), (lab.red, "a"), (lab.yellow, "b")] {
                let wanted = row.figure(&format!("{column}{n}"));
                assert!((got - wanted).abs() < 2e-2, "{} {column}: {got} {wanted}", row.text(&format!("hex{n}")));
            }
            lab
        };
        let got = colour(1).difference(colour(2)).unwrap();
        assert!((got - row.figure("de2000")).abs() < 1e-2, "{got} {}", row.text("de2000"));
    }
}
