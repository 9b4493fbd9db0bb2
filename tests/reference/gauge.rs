//! The American wire gauge.

use crate::rows::{agree, rows};
use herl::reckon::gauge::{american, american_number};

/// Against the formula of ASTM B258 in another program's arithmetic, and the rounded table of
/// *Machinery's Handbook* to half a per cent.
#[test]
fn every_number_of_the_table() {
    for row in rows(include_str!("data/american_wire_gauge.csv"), 28) {
        let got = american(american_number(row.text("gauge")).unwrap());
        agree(row.text("gauge"), got, row.figure("formula_mm"), 1e-12);
        agree(row.text("gauge"), got, row.figure("table_mm"), 5e-3);
    }
}

/// "American wire gauge formula" (LiquiSearch, citing ASTM B258-02): 36 gauge is 0.0050 in, 0000 gauge 0.4600 in.
#[test]
fn the_two_ends_of_the_formula() {
    agree("36", american_number("36").and_then(american), 0.0050 * 25.4, 1e-12);
    agree("0000", american_number("0000").and_then(american), 0.4600 * 25.4, 1e-12);
}
