//! One invented fly for each construction and each shape of hook.

use super::*;
use crate::dressing::{Base, HookMeasure as M};

/// Every sample by a name for its file.
pub(crate) fn all() -> Vec<(&'static str, Card)> {
    vec![
        ("dry", dry()),
        ("nymph", nymph()),
        ("wet", wet()),
        ("palmer", spinner()),
        ("parachute", parachute()),
        ("shrimp", shrimp()),
        ("jig", jig()),
        ("spinner", split_spinner()),
        ("detached", detached()),
        ("tube", tube()),
        ("spun", spun_head()),
        ("married", married()),
        ("point-up", point_up()),
        ("emerger", emerger()),
        ("double", double()),
        ("swimming", swimming()),
        ("bare", bare_shank()),
        ("hopper", hopper()),
        ("burnt", burnt()),
        ("open", open()),
    ]
}

fn shape(set: impl FnOnce(&mut Shape)) -> Shape {
    let mut shape = Shape::default();
    set(&mut shape);
    shape
}

fn piece(material: &str) -> WorkedPiece {
    WorkedPiece { material: material.to_owned(), span: None, turns: None, count: None, width: None, strand_thick: None, amount: None }
}

fn tail(make: &mut Maker, at: f64, length: f64, count: f64) {
    make.add("tail", Way::Bunch, at, |make, part| {
        part.length = Some(make.mm(length));
        part.count = Some(make.one(count));
    });
}

fn body(make: &mut Maker, way: Way, from: f64, to: f64, thick: [f64; 2]) {
    make.add("body", way, from, |make, part| {
        part.span = Some((make.mm(from), make.mm(to)));
        if way == Way::Dubbed {
            part.thick = Some((make.mm(thick[0]), make.mm(thick[1])));
            part.beneath = make.stretches(&[[to, 0.6], [from, 0.6]]);
        } else {
            part.width = Some(make.mm(0.3));
            part.strand_thick = Some(make.mm(0.1));
            part.turns = Some(make.one((from - to) / 0.3 * 1.01));
            part.beneath = make.stretches(&[[to, thick[1] - 0.2], [from, thick[0] - 0.2]]);
        }
    });
}

fn rib(make: &mut Maker, from: f64, to: f64, turns: f64, thick: [f64; 2]) {
    make.add("rib", Way::Wound, from, |make, part| {
        part.span = Some((make.mm(from), make.mm(to)));
        part.turns = Some(make.one(turns));
        part.width = Some(make.mm(0.15));
        part.other_way = true;
        part.beneath = make.stretches(&[[to, thick[1]], [from, thick[0]]]);
    });
}

pub(crate) fn parachute() -> Card {
    let mut make = Maker::new("Lantern Parachute", "parachute dry", "14", [4.4, 8.8, 0.42]);
    make.add("post", Way::Bunch, 2.8, |make, part| {
        part.length = Some(make.mm(5.5));
        part.thick = Some((make.mm(1.2), make.mm(1.2)));
        part.shape = shape(|shape| shape.upright = true);
    });
    tail(&mut make, 7.9, 8.0, 6.0);
    body(&mut make, Way::Dubbed, 7.9, 1.4, [0.9, 1.7]);
    rib(&mut make, 7.9, 3.2, 5.0, [0.9, 1.5]);
    make.add("hackle", Way::Hackle, 2.8, |make, part| {
        part.on = Base::Post("post".to_owned());
        part.fibre = Some(make.mm(6.4));
        part.turns = Some(make.one(5.0));
        part.beneath = make.stretches(&[[0.0, 1.2], [5.0, 1.2]]);
    });
    make.card
}

pub(crate) fn shrimp() -> Card {
    let mut make = Maker::on("Sluice Shrimp", "shrimp", HookShape::Curved, &[(M::Gap, 4.6), (M::Shank, 10.5), (M::HookWire, 0.5)]);
    make.add("feelers", Way::Bunch, 10.3, |make, part| {
        part.length = Some(make.mm(3.5));
        part.count = Some(make.one(6.0));
        part.shape = Shape::default();
    });
    make.add("back", Way::Strip, 11.0, |make, part| {
        part.span = Some((make.mm(11.0), make.mm(1.2)));
        part.width = Some(make.mm(3.0));
        part.strand_thick = Some(make.mm(0.2));
    });
    body(&mut make, Way::Dubbed, 11.0, 1.2, [1.6, 2.6]);
    make.add("legs", Way::Hackle, 10.5, |make, part| {
        part.span = Some((make.mm(10.5), make.mm(1.5)));
        part.fibre = Some(make.mm(3.2));
        part.turns = Some(make.one(7.0));
        part.beneath = make.stretches(&[[1.2, 2.6], [11.0, 1.6]]);
        part.clip = Some(Clipped::LevelWithPoint);
    });
    rib(&mut make, 11.0, 1.2, 7.0, [2.0, 3.0]);
    make.card
}

pub(crate) fn jig() -> Card {
    let mut make = Maker::on("Culvert Jig", "nymph", HookShape::Jig, &[(M::Gap, 4.6), (M::Shank, 11.0), (M::HookWire, 0.5), (M::Front, 1.6)]);
    make.add("bead", Way::Whole, 0.0, |make, part| {
        part.span = Some((make.mm(0.0), make.mm(2.6)));
        part.width = Some(make.mm(2.8));
    });
    tail(&mut make, 10.0, 4.5, 8.0);
    body(&mut make, Way::Wound, 10.0, 4.0, [1.1, 1.7]);
    rib(&mut make, 10.0, 4.0, 5.0, [1.1, 1.7]);
    make.add("collar", Way::Dubbed, 4.0, |make, part| {
        part.span = Some((make.mm(4.4), make.mm(2.9)));
        part.thick = Some((make.mm(2.0), make.mm(2.4)));
        part.beneath = make.stretches(&[[2.9, 0.8], [4.4, 0.8]]);
    });
    make.add("hackle", Way::Hackle, 3.2, |make, part| {
        part.fibre = Some(make.mm(4.0));
        part.turns = Some(make.one(2.0));
        part.beneath = make.stretches(&[[2.8, 1.8], [3.4, 1.8]]);
    });
    make.card
}

pub(crate) fn split_spinner() -> Card {
    let mut make = Maker::new("Weir Spinner", "spinner dry", "14", [4.4, 8.8, 0.4]);
    make.add("tail", Way::Bunch, 7.9, |make, part| {
        part.length = Some(make.mm(12.0));
        part.count = Some(make.one(4.0));
        // As a dressing's file is read: what is split is divided too.
        part.shape = shape(|shape| (shape.divided, shape.split_degrees) = (true, Some(45)));
    });
    body(&mut make, Way::Wound, 7.9, 3.2, [0.8, 1.1]);
    make.add("thorax", Way::Dubbed, 3.2, |make, part| {
        part.span = Some((make.mm(3.2), make.mm(1.2)));
        part.thick = Some((make.mm(1.7), make.mm(1.7)));
        part.beneath = make.stretches(&[[1.2, 0.6], [3.2, 0.6]]);
    });
    make.add("wing", Way::Bunch, 2.2, |make, part| {
        part.length = Some(make.mm(9.0));
        part.count = Some(make.one(30.0));
        part.shape = shape(|shape| shape.spent = true);
    });
    make.card
}

pub(crate) fn detached() -> Card {
    let mut make = Maker::new("Quarry Drake", "upwinged dry", "12", [5.0, 10.0, 0.45]);
    make.add("wing", Way::Bunch, 2.8, |make, part| {
        part.length = Some(make.mm(11.0));
        part.shape = shape(|shape| shape.upright = true);
    });
    tail(&mut make, 7.0, 12.0, 3.0);
    make.add("body", Way::Wound, 7.0, |make, part| {
        part.on = Base::Needle(0.6);
        part.width = Some(make.mm(0.4));
        part.strand_thick = Some(make.mm(0.45));
        part.turns = Some(make.one(22.7));
        part.beyond = make.stretches(&[[7.0, 0.7], [16.0, 0.6]]);
    });
    make.add("rib", Way::Wound, 7.0, |make, part| {
        part.width = Some(make.mm(0.12));
        part.turns = Some(make.one(6.0));
        part.other_way = true;
        part.beyond = make.stretches(&[[7.0, 1.6], [16.0, 1.5]]);
    });
    make.add("thorax", Way::Dubbed, 7.0, |make, part| {
        part.span = Some((make.mm(7.0), make.mm(1.4)));
        part.thick = Some((make.mm(1.6), make.mm(2.1)));
        part.beneath = make.stretches(&[[1.4, 0.7], [7.0, 0.7]]);
    });
    make.add("hackle", Way::Hackle, 2.8, |make, part| {
        part.fibre = Some(make.mm(7.5));
        part.turns = Some(make.one(8.0));
        part.turns_split = Some((4.0, 4.0));
        part.beneath = make.stretches(&[[1.4, 1.6], [4.2, 1.6]]);
        part.clip = Some(Clipped::LevelWithPoint);
    });
    make.card
}

pub(crate) fn tube() -> Card {
    let mut make = Maker::on("Ferry Tube", "tube", HookShape::Tube, &[(M::Overall, 25.0), (M::Outside, 2.4), (M::Inside, 1.6)]);
    body(&mut make, Way::Wound, 23.0, 3.0, [3.0, 3.0]);
    rib(&mut make, 23.0, 3.0, 6.0, [3.2, 3.2]);
    make.add("hackle", Way::Hackle, 3.2, |make, part| {
        part.fibre = Some(make.mm(10.0));
        part.turns = Some(make.one(3.0));
        part.beneath = make.stretches(&[[2.4, 2.6], [3.4, 2.6]]);
    });
    make.add("wing", Way::Bunch, 2.6, |make, part| {
        part.length = Some(make.mm(34.0));
        part.count = Some(make.one(40.0));
        part.pieces = vec![piece("black"), piece("yellow")];
        part.shape = shape(|shape| shape.over_the_back = true);
    });
    make.card
}

pub(crate) fn spun_head() -> Card {
    let mut make = Maker::new("Barge Minnow", "streamer", "8", [7.0, 15.0, 0.6]);
    tail(&mut make, 13.6, 8.0, 12.0);
    body(&mut make, Way::Wound, 13.6, 6.0, [1.4, 1.6]);
    make.add("wing", Way::Pair, 5.8, |make, part| {
        part.length = Some(make.mm(16.0));
        part.width = Some(make.mm(4.0));
        part.shape = shape(|shape| shape.over_the_back = true);
    });
    make.add("collar", Way::Bunch, 5.8, |make, part| {
        part.length = Some(make.mm(7.0));
        part.count = Some(make.one(30.0));
        part.shape = shape(|shape| shape.flat = true);
    });
    make.add("head", Way::Spun, 5.8, |make, part| {
        part.span = Some((make.mm(5.8), make.mm(1.2)));
        part.fibre = Some(make.mm(6.0));
        part.clip = Some(Clipped::To(make.mm(2.6)));
        part.beneath = make.stretches(&[[1.2, 1.0], [5.8, 1.0]]);
    });
    make.card
}

pub(crate) fn married() -> Card {
    let mut make = Maker::new("Ferry Lane", "winged wet", "6", [8.0, 17.0, 0.7]);
    make.add("tail", Way::Bunch, 15.4, |make, part| {
        part.length = Some(make.mm(9.0));
        part.count = Some(make.one(8.0));
    });
    make.add("body", Way::Wound, 15.4, |make, part| {
        part.span = Some((make.mm(15.4), make.mm(3.0)));
        part.width = Some(make.mm(0.4));
        part.strand_thick = Some(make.mm(0.4));
        part.turns = Some(make.one(31.3));
        part.beneath = make.stretches(&[[3.0, 1.3], [15.4, 1.1]]);
        part.pieces = vec![piece("yellow"), piece("red"), piece("black")];
        part.laid = Laid::OneAfterTheOther;
    });
    make.add("rib", Way::Wound, 15.4, |make, part| {
        part.span = Some((make.mm(15.4), make.mm(3.0)));
        part.turns = Some(make.one(5.0));
        part.width = Some(make.mm(0.4));
        part.beneath = make.stretches(&[[3.0, 2.1], [15.4, 1.9]]);
    });
    make.add("throat", Way::Bunch, 2.4, |make, part| {
        part.length = Some(make.mm(7.0));
        part.count = Some(make.one(14.0));
    });
    make.add("wing", Way::Slip, 2.4, |make, part| {
        part.length = Some(make.mm(20.0));
        part.width = Some(make.mm(5.0));
        part.count = Some(make.one(2.0));
        part.pieces = vec![piece("blue"), piece("yellow"), piece("red"), piece("white")];
        part.laid = Laid::Married;
        part.shape = shape(|shape| shape.over_the_back = true);
    });
    make.card
}

pub(crate) fn point_up() -> Card {
    let mut make = Maker::new("Harbour Shiner", "streamer", "4", [10.0, 22.0, 0.8]);
    make.card.hook.rides = Rides::PointUp;
    make.add("eyes", Way::Whole, 4.0, |make, part| part.width = Some(make.mm(4.0)));
    body(&mut make, Way::Wound, 19.0, 5.0, [1.6, 1.8]);
    make.add("wing", Way::Bunch, 2.8, |make, part| {
        part.length = Some(make.mm(36.0));
        part.count = Some(make.one(30.0));
        part.shape = shape(|shape| shape.beneath = true);
    });
    make.add("belly", Way::Bunch, 2.8, |make, part| {
        part.length = Some(make.mm(34.0));
        part.count = Some(make.one(24.0));
        part.shape = shape(|shape| shape.flat = true);
    });
    make.card
}

pub(crate) fn emerger() -> Card {
    let mut make = Maker::on("Gravel Emerger", "emerger dry", HookShape::Curved, &[(M::Gap, 4.8), (M::Shank, 11.0), (M::HookWire, 0.45), (M::Turn, 75.0)]);
    make.add("post", Way::Bunch, 3.0, |make, part| {
        part.length = Some(make.mm(6.0));
        part.thick = Some((make.mm(1.3), make.mm(1.3)));
        part.shape = shape(|shape| shape.upright = true);
    });
    body(&mut make, Way::Wound, 13.5, 3.8, [0.8, 1.5]);
    rib(&mut make, 13.5, 3.8, 7.0, [0.9, 1.6]);
    make.add("thorax", Way::Dubbed, 4.2, |make, part| {
        part.span = Some((make.mm(4.2), make.mm(1.3)));
        part.thick = Some((make.mm(2.0), make.mm(2.0)));
        part.beneath = make.stretches(&[[1.3, 0.8], [4.2, 0.8]]);
    });
    make.add("hackle", Way::Hackle, 3.0, |make, part| {
        part.on = Base::Post("post".to_owned());
        part.fibre = Some(make.mm(7.5));
        part.turns = Some(make.one(4.0));
        part.beneath = make.stretches(&[[0.0, 1.3], [5.0, 1.3]]);
    });
    make.card
}

pub(crate) fn double() -> Card {
    let mut make = Maker::on("Bridge Double", "salmon", HookShape::Double, &[(M::Gap, 6.0), (M::Shank, 14.0), (M::HookWire, 0.6)]);
    tail(&mut make, 13.0, 7.0, 10.0);
    body(&mut make, Way::Wound, 13.0, 3.0, [1.6, 1.9]);
    rib(&mut make, 13.0, 3.0, 5.0, [1.6, 1.9]);
    make.add("hackle", Way::Hackle, 3.0, |make, part| {
        part.fibre = Some(make.mm(7.0));
        part.turns = Some(make.one(3.0));
        part.beneath = make.stretches(&[[1.6, 1.2], [3.2, 1.2]]);
    });
    make.add("wing", Way::Bunch, 2.4, |make, part| {
        part.length = Some(make.mm(16.0));
        part.count = Some(make.one(24.0));
        part.shape = shape(|shape| shape.over_the_back = true);
    });
    make.card
}

pub(crate) fn swimming() -> Card {
    let mut make = Maker::on("Pool Swimmer", "nymph", HookShape::Swimming, &[(M::Gap, 4.6), (M::Shank, 14.0), (M::HookWire, 0.5)]);
    tail(&mut make, 13.0, 5.0, 6.0);
    body(&mut make, Way::Dubbed, 13.0, 5.0, [1.0, 2.0]);
    rib(&mut make, 13.0, 5.0, 6.0, [1.0, 2.0]);
    make.add("wing case", Way::Slip, 5.0, |make, part| {
        part.span = Some((make.mm(5.0), make.mm(1.4)));
        part.width = Some(make.mm(3.0));
    });
    make.add("thorax", Way::Dubbed, 5.0, |make, part| {
        part.span = Some((make.mm(5.0), make.mm(1.4)));
        part.thick = Some((make.mm(2.6), make.mm(2.6)));
        part.beneath = make.stretches(&[[1.4, 1.0], [5.0, 1.0]]);
    });
    make.add("legs", Way::Bunch, 2.6, |make, part| {
        part.length = Some(make.mm(4.0));
        part.count = Some(make.one(8.0));
    });
    make.card
}

pub(crate) fn bare_shank() -> Card {
    let mut make = Maker::on("Lock Shank", "lure", HookShape::BareShank, &[(M::Shank, 20.0), (M::HookWire, 0.9), (M::Overall, 26.0)]);
    body(&mut make, Way::Wound, 19.0, 4.0, [1.8, 2.0]);
    make.add("hackle", Way::Hackle, 19.0, |make, part| {
        part.span = Some((make.mm(19.0), make.mm(4.0)));
        part.fibre = Some(make.mm(7.0));
        part.turns = Some(make.one(9.0));
        part.beneath = make.stretches(&[[4.0, 2.0], [19.0, 1.8]]);
    });
    make.add("wing", Way::Bunch, 3.0, |make, part| {
        part.length = Some(make.mm(30.0));
        part.count = Some(make.one(30.0));
    });
    make.card
}

pub(crate) fn hopper() -> Card {
    let mut make = Maker::new("Meadow Hopper", "hopper dry", "8", [6.5, 15.0, 0.6]);
    body(&mut make, Way::Dubbed, 13.7, 4.5, [2.2, 2.8]);
    make.add("hackle", Way::Hackle, 13.7, |make, part| {
        part.span = Some((make.mm(13.7), make.mm(4.5)));
        part.fibre = Some(make.mm(5.0));
        part.turns = Some(make.one(8.0));
        part.clip = Some(Clipped::Beneath);
        part.beneath = make.stretches(&[[4.5, 2.8], [13.7, 2.2]]);
    });
    make.add("legs", Way::Bunch, 5.2, |make, part| {
        part.length = Some(make.mm(14.0));
        part.count = Some(make.one(2.0));
        part.shape = shape(|shape| shape.knotted = true);
    });
    make.add("wing", Way::Bunch, 4.2, |make, part| {
        part.length = Some(make.mm(15.0));
        part.shape = shape(|shape| shape.flat = true);
    });
    make.add("head", Way::Spun, 4.2, |make, part| {
        part.span = Some((make.mm(4.2), make.mm(1.0)));
        part.clip = Some(Clipped::To(make.mm(2.2)));
        part.beneath = make.stretches(&[[1.0, 1.0], [4.2, 1.0]]);
    });
    make.card
}

pub(crate) fn burnt() -> Card {
    let mut make = Maker::new("Chapel Drake", "upwinged dry", "12", [5.0, 10.0, 0.45]);
    tail(&mut make, 9.0, 10.0, 6.0);
    body(&mut make, Way::Dubbed, 9.0, 3.3, [1.2, 1.8]);
    make.add("wing", Way::Pair, 2.6, |make, part| {
        part.length = Some(make.mm(10.0));
        part.width = Some(make.mm(4.5));
        part.shape = shape(|shape| {
            shape.burnt = true;
            shape.divided = true;
        });
    });
    make.add("loop wing", Way::Bunch, 4.5, |make, part| {
        part.length = Some(make.mm(6.0));
        part.count = Some(make.one(4.0));
        part.shape = shape(|shape| {
            shape.looped = true;
            shape.upright = true;
        });
    });
    make.add("hackle", Way::Hackle, 2.5, |make, part| {
        part.fibre = Some(make.mm(6.5));
        part.turns = Some(make.one(6.0));
        part.clip = Some(Clipped::Beneath);
        part.beneath = make.stretches(&[[1.0, 0.7], [3.3, 0.7]]);
    });
    make.card
}

/// A fly as a book prints it, with no custom to take its lengths from.
pub(crate) fn open() -> Card {
    let mut make = Maker::new("Unmeasured Sedge", "sedge", "12", [5.0, 10.0, 0.45]);
    make.add("tail", Way::Bunch, 9.0, |make, part| part.count = Some(make.one(6.0)));
    body(&mut make, Way::Dubbed, 9.0, 3.3, [1.2, 1.8]);
    make.add("wing", Way::Slip, 2.6, |make, part| part.count = Some(make.one(2.0)));
    make.add("hackle", Way::Hackle, 2.5, |make, part| part.turns = Some(make.one(4.0)));
    make.card
}
