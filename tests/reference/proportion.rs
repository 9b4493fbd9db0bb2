//! Bounds of proportions, differences of two, and the quantiles under them.

use crate::rows::{agree, rows};
use herl::reckon::chance::{normal_quantile, student_quantile};
use herl::reckon::proportion::{Method, Two, interval};
use herl::reckon::trial_size::needed;

/// The columns of the table.
const METHODS: [(&str, Method); 5] = [
    ("wilson", Method::Wilson),
    ("wilson_cc", Method::WilsonCorrected),
    ("clopper_pearson", Method::ClopperPearson),
    ("agresti_coull", Method::AgrestiCoull),
    ("jeffreys", Method::Jeffreys),
];

#[test]
fn every_quantile_of_the_table() {
    for row in rows(include_str!("data/quantiles.csv"), 8) {
        let p = row.figure("p");
        agree("z", normal_quantile(p), row.figure("z"), 1e-14);
        for freedom in [1, 2, 3, 5, 10, 20, 30, 100] {
            let column = format!("t{freedom}");
            agree(&column, student_quantile(p, f64::from(freedom)), row.figure(&column), 1e-12);
        }
    }
}

/// By another program's arithmetic, which is itself off by 2e-11 where there is a closed form (1 of 29: the lower bound of
/// Clopper and Pearson is 1 - 0.975^(1/29)).
#[test]
fn every_interval_of_the_table() {
    for row in rows(include_str!("data/proportion_intervals.csv"), 26) {
        let count = |column| row.figure(column) as u64;
        for (name, method) in METHODS {
            let what = format!("{name} of {} of {}", row.text("x"), row.text("n"));
            let seen = interval(count("x"), count("n"), row.figure("level"), method).unwrap();
            agree(&what, Some(seen.low), row.figure(&format!("{name}_lo")), 1e-10);
            agree(&what, Some(seen.high), row.figure(&format!("{name}_hi")), 1e-10);
        }
    }
}

/// Newcombe, *Statistics in Medicine* 17 (1998) 857, table I, to its four decimals (81 of 263 read in a published copy,
/// the others from memory).
#[test]
fn newcombes_own_rows() {
    for (hits, trials, low, high) in [(81, 263, "0.2553", "0.3662"), (15, 148, "0.0624", "0.1605"), (0, 20, "0.0000", "0.1611"), (1, 29, "0.0061", "0.1718")] {
        let seen = interval(hits, trials, 0.95, Method::Wilson).unwrap();
        assert_eq!((format!("{:.4}", seen.low).as_str(), format!("{:.4}", seen.high).as_str()), (low, high), "{hits} of {trials}");
    }
}

/// SciPy's manual, `binomtest`: 7 of 50 with 95 %, exact: 0.05819170034 to 0.26739600250. NIST/SEMATECH e-Handbook 7.2.4.1: 4 of
/// 20 with 90 %, exact (worked here by its inputs): 0.071354 to 0.401028.
#[test]
fn exact_intervals_as_printed() {
    for (hits, trials, level, low, high, within) in [(7, 50, 0.95, 0.058_191_700_34, 0.267_396_002_5, 1e-9), (4, 20, 0.9, 0.071_354, 0.401_028, 1e-5)] {
        let seen = interval(hits, trials, level, Method::ClopperPearson).unwrap();
        agree("low", Some(seen.low), low, within);
        agree("high", Some(seen.high), high, within);
    }
}

/// Fisher's tests against exact fractions; Newcombe's bounds of the difference.
#[test]
fn every_pair_of_proportions() {
    for row in rows(include_str!("data/two_proportions.csv"), 14) {
        let count = |column| row.figure(column) as u64;
        let two = Two::new(count("x1"), count("n1"), count("x2"), count("n2")).unwrap();
        let what = format!("{two:?}");
        let (above, below) = row.text("fisher_two_exact").split_once('/').unwrap();
        let fisher = two.fisher().unwrap();
        agree(&what, Some(fisher.two_sided), above.parse::<f64>().unwrap() / below.parse::<f64>().unwrap(), 1e-12);
        agree(&what, Some(fisher.greater), row.figure("fisher_greater"), 1e-11);
        agree(&what, Some(fisher.less), row.figure("fisher_less"), 1e-11);
        let apart = two.difference(0.95).unwrap();
        agree(&what, Some(apart.low), row.figure("newcombe_diff_lo"), 1e-11);
        agree(&what, Some(apart.high), row.figure("newcombe_diff_hi"), 1e-11);
        for (column, corrected) in [("chi2_p", false), ("chi2_yates_p", true)] {
            match row.text(column) {
                "nan" => assert_eq!(two.chi_square(corrected), None),
                _ => agree(&what, two.chi_square(corrected), row.figure(column), 1e-11),
            }
        }
    }
}

/// Fisher, *The Design of Experiments* (1935), chapter 2: of eight cups four are told right with one chance of seventy;
/// three of four with 17/70 and so (both ways) 17/35.
#[test]
fn the_tasting_of_tea() {
    let told = |right: u64| Two::new(right, 4, 4 - right, 4).unwrap().fisher().unwrap();
    agree("three right", Some(told(3).greater), 17.0 / 70.0, 1e-14);
    agree("three right", Some(told(3).two_sided), 17.0 / 35.0, 1e-14);
    agree("all right", Some(told(4).greater), 1.0 / 70.0, 1e-14);
    agree("all right", Some(told(4).two_sided), 2.0 / 70.0, 1e-14);
    // How often each number of cups comes out right: 1, 16, 36, 16, 1 of 70.
    let more = [0, 1, 2, 3, 4].map(|right| told(right).greater * 70.0);
    for (right, wanted) in [1.0, 16.0, 36.0, 16.0].into_iter().enumerate() {
        agree("just so many", Some(more[right] - more[right + 1]), wanted, 1e-12);
    }
}

/// SciPy's manual, `fisher_exact`: 8 and 2 against 1 and 5: 0.0350.
#[test]
fn fisher_as_printed() {
    agree("two-sided", Some(Two::new(8, 10, 1, 6).unwrap().fisher().unwrap().two_sided), 0.034_965_034_965, 1e-9);
}

/// Trials needed to tell two proportions apart, by four ways. By arcsines the other program counts also the chance of a
/// difference seen the wrong way round, which makes up to a ten-thousandth part here.
#[test]
fn every_number_of_trials() {
    for row in rows(include_str!("data/trials_needed.csv"), 32) {
        let figure = |column| row.figure(column);
        let trials = needed(figure("p1"), figure("p2"), figure("power"), figure("alpha_two_sided")).unwrap();
        let what = format!("{} {}", row.text("p1"), row.text("p2"));
        agree(&what, Some(trials.own), figure("n_unpooled"), 1e-12);
        agree(&what, Some(trials.common), figure("n_pooled"), 1e-12);
        agree(&what, Some(trials.corrected), figure("n_fleiss_cc"), 1e-12);
        agree(&what, Some(trials.arcsine), figure("n_arcsine"), 1e-4);
        assert_eq!(trials.common.ceil(), figure("ceil_pooled"), "{what}");
    }
}
