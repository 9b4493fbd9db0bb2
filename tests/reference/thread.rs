//! Linear density (ISO 1144) and thickness of threads, and mass of wire.

use crate::rows::{agree, rows};
use herl::reckon::solids::{mass, wire_volume};
use herl::reckon::thread::{Scale, diameter, spool_length};

/// The columns and unit words of the tables.
const SCALES: &[(&str, Scale)] = &[
    ("ktex", Scale::Kilotex),
    ("tex", Scale::Tex),
    ("dtex", Scale::Decitex),
    ("denier", Scale::Denier),
    ("Nm", Scale::MetricCount),
    ("Ne_cotton", Scale::CottonCount),
];

fn scale(word: &str) -> Scale {
    SCALES.iter().find(|(name, _)| *name == word).unwrap_or_else(|| panic!("no scale {word}")).1
}

#[test]
fn every_scale_turns_into_every_other() {
    for row in rows(include_str!("data/linear_density.csv"), 21) {
        let from = row.text("unit");
        let tex = scale(from).to_tex(row.figure("value"));
        agree(from, tex, row.figure("tex"), 1e-12);
        for to in ["tex", "dtex", "denier", "Nm", "Ne_cotton"] {
            agree(&format!("{from} to {to}"), scale(to).of_tex(tex.unwrap()), row.figure(to), 1e-12);
        }
    }
}

#[test]
fn a_thread_is_as_thick_as_its_mass_and_packing_make_it() {
    for row in rows(include_str!("data/thread_diameter.csv"), 96) {
        let tex = scale(row.text("unit")).to_tex(row.figure("value"));
        agree("tex", tex, row.figure("tex"), 1e-12);
        let got = diameter(tex.unwrap(), row.figure("density_kg_m3") / 1000.0, row.figure("packing"));
        agree(row.text("material"), got, row.figure("diameter_mm"), 1e-9);
    }
}

/// A spool's length is its net mass by its mass a metre: here wire, whose mass a metre is in the table.
#[test]
fn a_gram_of_wire_is_as_long_as_the_table_says() {
    for row in rows(include_str!("data/wire_mass.csv"), 23) {
        let grams_a_metre = mass(wire_volume(1000.0, row.figure("d_mm")).unwrap(), row.figure("density_kg_m3") / 1000.0);
        agree(row.text("material"), grams_a_metre, row.figure("g_per_m"), 1e-12);
        let tex = Scale::Kilotex.to_tex(row.figure("g_per_m")).unwrap();
        agree(row.text("material"), spool_length(31.0, 30.0, tex), row.figure("m_per_g"), 1e-12);
    }
}
