//! Worked examples printed by others, each with its source beside it.

use crate::rows::agree;
use herl::dressing::{HookLength, Length, Of};
use herl::measure::{Quantity, Unit};
use herl::reckon::cuts::lengths_in;
use herl::reckon::pert::three;
use herl::reckon::standard_time::{Allowance, normal, observed, standard};
use herl::reckon::thread::{Scale, spool_length};

/// A length ruled by the gap alone, in the unit of the gap's own quantity.
fn by_gap(rule: &str, gap: &str, unit: Unit) -> f64 {
    let gap = Quantity::read(gap).unwrap();
    let Length::One(terms) = Length::read(rule, &[]).unwrap() else { panic!("{rule} is not one figure") };
    let [term] = terms.as_slice() else { panic!("{rule} is not one term") };
    assert_eq!(term.of, Of::Hook(HookLength::Gap));
    Quantity { figure: gap.figure.times(term.times).unwrap(), unit: gap.unit }.in_unit(unit).unwrap()
}

/// flyfishingguy.com, the chapter on hackle: with a gap of 1/4 in the hackle's barb is about 3/8 in.
#[test]
fn a_hackle_of_one_and_a_half_gaps() {
    assert_eq!(by_gap("1.5 gap", "1/4 in", Unit::Inch), 0.375);
    assert_eq!(by_gap("1 1/2 gape", "1/4 in", Unit::Mm), Quantity::read("3/8 in").unwrap().in_unit(Unit::Mm).unwrap());
}

/// masterflyfishing.net, "Hooks": a dry fly hook of size 12 has a gap of 5 mm and a shank of 10 mm.
#[test]
fn a_shank_of_two_gaps() {
    assert_eq!(by_gap("2 x gap", "5 mm", Unit::Mm), 10.0);
}

/// The Contented Angler (content-angler.com), "Hooks": a gap of 4 mm, a shank of 8 mm.
#[test]
fn another_shank_of_two_gaps() {
    assert_eq!(by_gap("2 gap", "4 mm", Unit::Mm), 8.0);
}

/// Fly Anglers Online, "Tying Tips" part 3 (G. E. Emanuel): six flies that use 2 in each waste 12 in when 4 in
/// is cut for every fly, and 2 in when all six come off one length of 14 in.
#[test]
fn six_flies_from_one_length() {
    let mm = |text: &str| Quantity::read(text).unwrap().in_unit(Unit::Mm).unwrap();
    assert_eq!(lengths_in(mm("14 in"), mm("2 in"), mm("2 in")), Some(6));
    agree("waste of one length", Some(mm("14 in") - 6.0 * mm("2 in")), mm("2 in"), 1e-12);
    // The same 2 in lost to the grip with every fly:
    assert_eq!(lengths_in(mm("4 in"), mm("2 in"), mm("2 in")), Some(1));
    agree("waste cut one by one", Some(6.0 * (mm("4 in") - mm("2 in"))), mm("12 in"), 1e-12);
}

/// "Count conversion of yarn", Textile Learner (tex = denier / 9), with the 72 denier of the thread table in
/// "The use of thread", Ed Gallop, flytyingworld.com: 8 tex.
#[test]
fn seventy_two_denier_is_eight_tex() {
    assert_eq!(Scale::Denier.to_tex(72.0), Some(8.0));
    assert_eq!(Quantity::read("72 denier").unwrap().in_unit(Unit::Tex), Some(8.0));
}

/// "Denier and the aught system", renegadefishers.com (denier: grams per 9,000 m): 1.00 g of 70 denier is
/// 9,000 / 70 = 128.57 m.
#[test]
fn a_gram_of_seventy_denier() {
    let length = spool_length(12.30, 11.30, Scale::Denier.to_tex(70.0).unwrap()).unwrap();
    assert_eq!(format!("{length:.2}"), "128.57");
}

/// "Time study solution", University of Nairobi: 27, 19, 20, 21, 13 s at a rating of 120 % with an allowance of
/// 20 % of the job: observed 20 s, normal 24 s, standard 28.8 s.
#[test]
fn standard_time_with_the_allowance_on_the_job() {
    let seen = observed(&[27.0, 19.0, 20.0, 21.0, 13.0]).unwrap();
    assert_eq!(seen, 20.0);
    let normal = normal(seen, 1.2).unwrap();
    assert_eq!(normal, 24.0);
    agree("standard", standard(normal, Allowance::OfTheJob(0.2)), 28.8, 1e-12);
}

/// "Time studies", QBA 361, University of Hawaii at Hilo: 20, 23, 19, 18, 24, 25 min at a rating of 0.85 with an
/// allowance of 10 % of the day: mean 21.5, normal 18.275; by its own formula 20.3056 min.
#[test]
fn standard_time_with_the_allowance_of_the_day() {
    let seen = observed(&[20.0, 23.0, 19.0, 18.0, 24.0, 25.0]).unwrap();
    assert_eq!(seen, 21.5);
    let normal = normal(seen, 0.85).unwrap();
    agree("normal", Some(normal), 18.275, 1e-12);
    let standard = standard(normal, Allowance::OfTheDay(0.1)).unwrap();
    assert_eq!(format!("{standard:.4}"), "20.3056");
}

/// Anderson and others, *An Introduction to Management Science*, p. 384: 4, 5 and 12 weeks are 6 weeks with a variance of
/// 1.78; and the expected times of its ten activities.
#[test]
fn three_point_estimates() {
    let time = three(4.0, 5.0, 12.0).unwrap();
    assert_eq!((time.mean, format!("{:.2}", time.variance)), (6.0, "1.78".to_owned()));
    let activities = [
        (4.0, 5.0, 12.0),
        (1.0, 1.5, 5.0),
        (2.0, 3.0, 4.0),
        (3.0, 4.0, 11.0),
        (2.0, 3.0, 4.0),
        (1.5, 2.0, 2.5),
        (1.5, 3.0, 4.5),
        (2.5, 3.5, 7.5),
        (1.5, 2.0, 2.5),
        (1.0, 2.0, 3.0),
    ];
    let means = activities.map(|(shortest, likeliest, longest)| three(shortest, likeliest, longest).unwrap().mean);
    assert_eq!(means, [6.0, 2.0, 3.0, 5.0, 3.0, 2.0, 3.0, 4.0, 2.0, 2.0]);
}
