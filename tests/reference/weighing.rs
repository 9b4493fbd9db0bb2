//! Length and number by weight.

use crate::rows::{agree, rows};
use herl::reckon::thread::{Scale, spool_length};
use herl::reckon::weighing::{Sample, sample_needed, wire_length};

#[test]
fn wire_by_weight() {
    for row in rows(include_str!("data/wire_mass.csv"), 23) {
        let density = row.figure("density_kg_m3") / 1000.0;
        agree(row.text("material"), wire_length(13.5, 12.5, row.figure("d_mm"), density), row.figure("m_per_g"), 1e-12);
    }
}

/// "Denier and the aught system", renegadefishers.com (denier: grams per 9,000 m): a gram of 70, 140 and 210 denier; a
/// hundredth of a gram of 70; and what 100 yd weigh.
#[test]
fn thread_by_weight() {
    let tex = |denier| Scale::Denier.to_tex(denier).unwrap();
    for (denier, metres, yards) in [(70.0, "128.57", "0.711"), (140.0, "64.29", "1.422"), (210.0, "42.86", "2.134")] {
        assert_eq!(format!("{:.2}", spool_length(13.0, 12.0, tex(denier)).unwrap()), metres);
        assert_eq!(format!("{:.3}", 91.44 / spool_length(1.0, 0.0, tex(denier)).unwrap()), yards);
    }
    assert_eq!(format!("{:.2}", spool_length(12.01, 12.0, tex(70.0)).unwrap()), "1.29");
}

/// "Counting Errors", Bay State Scale: a sample of one piece that is 3 % heavy makes the count 3 % short. The standard error
/// of a mean, CV / sqrt(m): any text on sampling; with the spread of 0.5 to 1.5 % of precision parts ("Best Practices in
/// Counting", plas-pack.com), ten pieces err by 0.16 to 0.47 %.
#[test]
fn pieces_by_weight() {
    let heavy = Sample { pieces: 1, mass: 1.03, spread: 0.0, step: 0.0 };
    agree("count", heavy.count(1000.0).map(|counted| counted.pieces), 1000.0 / 1.03, 1e-12);
    for (spread, wanted) in [(0.005, 0.001_581), (0.015, 0.004_743)] {
        // Of a great number, whose own spread counts for nothing.
        let ten = Sample { pieces: 10, mass: 10.0, spread, step: 0.0 };
        let counted = ten.count(1e9).unwrap();
        agree("error", Some(counted.off / counted.pieces), wanted, 3e-4);
    }
    assert_eq!(sample_needed(0.01, 0.001), Some(100));
    // JCGM 100:2008 (GUM), 4.3.7: evenly within a step of 0.01 g is a standard uncertainty of 0.0029 g.
    let fine = Sample { pieces: 1_000_000, mass: 1_000_000.0, spread: 0.0, step: 0.01 };
    assert_eq!(format!("{:.4}", fine.count(50.0).unwrap().off), "0.0029");
}
