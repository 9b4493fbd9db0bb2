//! Wire gauges, American and British.

use crate::rows::{agree, rows};
use herl::reckon::gauge::{american, british, number};

/// Against the formula of ASTM B258 in another program's arithmetic, and the rounded table of
/// *Machinery's Handbook* to half a per cent.
#[test]
fn every_number_of_the_table() {
    for row in rows(include_str!("data/american_wire_gauge.csv"), 28) {
        let got = american(number(row.text("gauge")).unwrap());
        agree(row.text("gauge"), got, row.figure("formula_mm"), 1e-12);
        agree(row.text("gauge"), got, row.figure("table_mm"), 5e-3);
    }
}

/// "American wire gauge formula" (LiquiSearch, citing ASTM B258-02): 36 gauge is 0.0050 in, 0000 gauge 0.4600 in.
#[test]
fn the_two_ends_of_the_formula() {
    agree("36", number("36").and_then(american), 0.0050 * 25.4, 1e-12);
    agree("0000", number("0000").and_then(american), 0.4600 * 25.4, 1e-12);
}

/// BS 3737:1964, every other number from 6/0 to 50, within a ten-thousandth part.
#[test]
fn every_british_number_of_the_table() {
    for row in rows(include_str!("data/british_wire_gauge.csv"), 29) {
        agree(row.text("gauge"), number(row.text("gauge")).and_then(british), row.figure("table_mm"), 1e-4);
    }
}

/// From 30 to 39 the British numbers fall by 0.0008 in, from 39 to 49 by 0.0004 in (BS 3737:1964): the steps hold the
/// numbers that the table above leaves out.
#[test]
fn the_fine_british_numbers_fall_by_even_steps() {
    for (from, to, step) in [(30, 39, 0.0008), (39, 49, 0.0004)] {
        for number in from..to {
            let fall = british(number).unwrap() - british(number + 1).unwrap();
            assert!((fall - step * 25.4).abs() < 1e-9, "from {number} it falls by {fall} mm");
        }
    }
}
