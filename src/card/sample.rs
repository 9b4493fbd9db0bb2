//! Cards worked by hand for looking at drawings: a dry fly, a nymph and a winged wet fly, all invented; the other
//! constructions and hooks are in `sample/others.rs`.

mod others;

use super::*;
use crate::diagnostic::{At, Told};
use crate::dressing::{HookChart, HookFigure, HookMeasure, XRule};
use crate::measure::Unit;
use crate::why::Standing;
use indexmap::IndexMap;
pub(crate) use others::all;

/// Makes a card from plain millimetres.
pub(crate) struct Maker {
    pub(crate) card: Card,
    number: usize,
}

pub(crate) fn part(name: &str, way: Way, tied_in: Fig) -> WorkedPart {
    WorkedPart {
        name: name.to_owned(),
        material: "sample".to_owned(),
        pieces: Vec::new(),
        laid: Laid::default(),
        way,
        on: Base::Hook,
        carries_on: None,
        clip: None,
        shape: Shape::default(),
        tied_in: Some(tied_in),
        span: None,
        length: None,
        fibre: None,
        thick: None,
        turns: None,
        turns_split: None,
        count: None,
        width: None,
        strand_thick: None,
        flue: None,
        other_way: false,
        beneath: Vec::new(),
        beyond: Vec::new(),
        amount: None,
        by_custom: Vec::new(),
    }
}

/// The figures of a hook of size 12 whose chart gives these; `None` where they do not go together.
pub(crate) fn hook_of(shape: HookShape, figures: &[(HookMeasure, f64)]) -> Option<(Geometry, Hook)> {
    let at = At::file(std::path::PathBuf::from("hooks.yaml"));
    let figure = |value: f64| HookFigure { value, standing: Standing::Stated, source: String::new(), at: at.clone() };
    let size = Size::read("12").unwrap();
    let chart = HookChart {
        name: Told::new("test".to_owned(), at.clone()),
        shape,
        rides: shape.rides(),
        eye: EyeTurn::Down,
        one_x: XRule::WholeNumber,
        density: None,
        bad: None,
        packs: Vec::new(),
        sizes: [(size.clone(), figures.iter().map(|(measure, value)| (*measure, figure(*value))).collect::<IndexMap<_, _>>())].into_iter().collect(),
        note: None,
    };
    let mut sheet = Geometry::new();
    let (hook, _) = hook::work(&mut sheet, &chart, &Told::new(size, at), None).ok()?;
    Some((sheet, hook))
}

impl Maker {
    /// A card with a hook and no parts; all mm.
    pub(crate) fn new(name: &str, kind: &str, size: &str, [gap, shank, wire]: [f64; 3]) -> Self {
        let mut sheet = Geometry::new();
        let mut give = |key: &str, value: f64| sheet.given(format!("hook.{key}"), value, Unit::Mm, Standing::Stated, "a sample");
        let eye = 2.5 * wire;
        let overall = eye + shank + 0.45 * gap + wire;
        let hook = Hook {
            shape: HookShape::Straight,
            rides: Rides::PointDown,
            gap: Some(give("gap", gap)),
            shank: give("shank", shank),
            wire: give("hook-wire", wire),
            across: give("across", wire),
            bend_axes: None,
            limb: None,
            front: None,
            angle: None,
            inside: None,
            overall: give("overall", overall),
            eye: give("eye", eye),
            barb: Some(give("barb", shank - 0.2 * gap)),
            point: Some(give("point", shank - 0.5 * gap)),
            bend: give("bend", overall - eye),
            mass: give("mass", 0.02),
            turn: EyeTurn::Down,
        };
        let card = Card {
            sheet,
            dressing: name.to_owned(),
            kind: kind.to_owned(),
            revision: 2,
            size: Size::read(size).unwrap(),
            variant: None,
            chart: "dry-standard".to_owned(),
            shown: crate::measure::Shown::default(),
            hook,
            silk: "primrose, fine".to_owned(),
            head_silk: None,
            parts: Vec::new(),
            steps: Vec::new(),
            needs: Vec::new(),
            advice: Vec::new(),
        };
        Maker { card, number: 0 }
    }

    /// A card on a hook of another shape, worked as from a chart that gives these figures.
    pub(crate) fn on(name: &str, kind: &str, shape: HookShape, figures: &[(HookMeasure, f64)]) -> Self {
        let mut made = Maker::new(name, kind, "12", [5.0, 10.0, 0.45]);
        let (sheet, hook) = hook_of(shape, figures).unwrap();
        (made.card.sheet, made.card.hook) = (sheet, hook);
        made
    }

    pub(crate) fn mm(&mut self, value: f64) -> Fig {
        self.number += 1;
        self.card.sheet.given(format!("sample.{}", self.number), value, Unit::Mm, Standing::Stated, "a sample")
    }

    pub(crate) fn one(&mut self, value: f64) -> Fig {
        self.number += 1;
        self.card.sheet.given(format!("sample.{}", self.number), value, Unit::One, Standing::Stated, "a sample")
    }

    /// Stretches from `[place, diameter]` pairs.
    pub(crate) fn stretches(&mut self, profile: &[[f64; 2]]) -> Vec<Stretch> {
        let pairs: Vec<_> = profile.iter().copied().zip(profile.iter().copied().skip(1)).filter(|(a, b)| a[0] < b[0]).collect();
        pairs.into_iter().map(|(a, b)| Stretch { from: self.mm(a[0]), to: self.mm(b[0]), across_from: self.mm(a[1]), across_to: self.mm(b[1]) }).collect()
    }

    pub(crate) fn add(&mut self, name: &str, way: Way, tied_in: f64, set: impl FnOnce(&mut Self, &mut WorkedPart)) {
        let tied_in = self.mm(tied_in);
        let mut made = part(name, way, tied_in);
        set(self, &mut made);
        self.card.parts.push(made);
    }

    pub(crate) fn step(&mut self, ties: &[usize], winds: &[usize]) {
        self.card.steps.push(WorkedStep { when: When::AtTheVice, ties: ties.to_vec(), winds: winds.to_vec(), text: String::new(), time: None, dries: None });
    }
}

/// A winged dry fly of size 12: gap 5, shank 10.
pub(crate) fn dry() -> Card {
    let mut make = Maker::new("Sallow Dun", "upwinged dry", "12", [5.0, 10.0, 0.45]);
    make.add("wing", Way::Bunch, 2.5, |make, part| {
        part.length = Some(make.mm(10.0));
        part.shape = Shape { upright: true, divided: true, ..Shape::default() };
    });
    make.add("tail", Way::Bunch, 9.0, |make, part| {
        part.length = Some(make.mm(10.0));
        part.count = Some(make.one(6.0));
    });
    make.add("rib", Way::Wound, 9.0, |make, part| {
        part.span = Some((make.mm(9.0), make.mm(3.3)));
        part.turns = Some(make.one(5.0));
        part.width = Some(make.mm(0.12));
        part.other_way = true;
        part.beneath = make.stretches(&[[3.3, 2.0], [9.0, 1.25]]);
    });
    make.add("body", Way::Dubbed, 9.0, |make, part| {
        part.span = Some((make.mm(9.0), make.mm(3.3)));
        part.thick = Some((make.mm(1.25), make.mm(2.0)));
        part.beneath = make.stretches(&[[3.3, 0.6], [9.0, 0.6]]);
    });
    make.add("hackle", Way::Hackle, 2.5, |make, part| {
        part.fibre = Some(make.mm(7.5));
        part.turns = Some(make.one(7.0));
        part.turns_split = Some((4.0, 3.0));
        part.beneath = make.stretches(&[[1.0, 0.7], [3.3, 0.7]]);
    });
    make.step(&[0], &[]);
    make.step(&[1, 2], &[]);
    make.step(&[], &[3, 2]);
    make.step(&[4], &[4]);
    make.card
}

/// A beaded nymph of size 14 with a weight, a thorax and a case.
pub(crate) fn nymph() -> Card {
    let mut make = Maker::new("Culvert Nymph", "nymph", "14", [4.4, 9.5, 0.5]);
    make.add("bead", Way::Whole, 0.0, |make, part| {
        part.span = Some((make.mm(0.0), make.mm(2.2)));
        part.width = Some(make.mm(2.4));
    });
    make.add("weight", Way::Weight, 5.5, |make, part| {
        part.span = Some((make.mm(5.5), make.mm(2.6)));
        part.turns = Some(make.one(7.0));
        part.width = Some(make.mm(0.4));
        part.beneath = make.stretches(&[[2.6, 0.5], [5.5, 0.5]]);
    });
    make.add("tail", Way::Bunch, 8.6, |make, part| {
        part.length = Some(make.mm(4.5));
        part.count = Some(make.one(8.0));
    });
    make.add("rib", Way::Wound, 8.6, |make, part| {
        part.span = Some((make.mm(8.6), make.mm(5.0)));
        part.turns = Some(make.one(5.0));
        part.width = Some(make.mm(0.15));
        part.other_way = true;
        part.beneath = make.stretches(&[[5.0, 1.7], [8.6, 0.9]]);
    });
    make.add("abdomen", Way::Wound, 8.6, |make, part| {
        part.span = Some((make.mm(8.6), make.mm(5.0)));
        part.width = Some(make.mm(0.3));
        part.strand_thick = Some(make.mm(0.25));
        part.turns = Some(make.one(12.3));
        part.beneath = make.stretches(&[[5.0, 1.3], [5.5, 1.3], [8.6, 0.6]]);
    });
    make.add("wing case", Way::Slip, 5.0, |make, part| {
        part.span = Some((make.mm(5.0), make.mm(2.4)));
        part.width = Some(make.mm(3.0));
    });
    make.add("thorax", Way::Dubbed, 5.0, |make, part| {
        part.span = Some((make.mm(5.0), make.mm(2.4)));
        part.thick = Some((make.mm(2.2), make.mm(2.5)));
        part.beneath = make.stretches(&[[2.4, 1.3], [5.0, 1.3]]);
    });
    make.add("hackle", Way::Hackle, 2.6, |make, part| {
        part.fibre = Some(make.mm(4.0));
        part.turns = Some(make.one(2.0));
        part.beneath = make.stretches(&[[2.2, 1.4], [2.8, 1.4]]);
    });
    make.card
}

/// A winged wet fly of size 10: palmered body, throat, slips over the back.
pub(crate) fn wet() -> Card {
    let mut make = Maker::new("Ferry <Lane> & Son", "winged wet", "10", [6.0, 12.0, 0.55]);
    make.add("tail", Way::Bunch, 10.8, |make, part| {
        part.length = Some(make.mm(7.0));
        part.count = Some(make.one(12.0));
    });
    make.add("rib", Way::Wound, 10.8, |make, part| {
        part.span = Some((make.mm(10.8), make.mm(3.0)));
        part.turns = Some(make.one(5.0));
        part.width = Some(make.mm(0.35));
        part.beneath = make.stretches(&[[3.0, 1.7], [10.8, 1.2]]);
    });
    make.add("body", Way::Wound, 10.8, |make, part| {
        part.span = Some((make.mm(10.8), make.mm(3.0)));
        part.width = Some(make.mm(0.3));
        part.strand_thick = Some(make.mm(0.4));
        part.turns = Some(make.one(26.0));
        part.beneath = make.stretches(&[[3.0, 0.9], [10.8, 0.7]]);
    });
    make.add("hackle", Way::Hackle, 2.8, |make, part| {
        part.fibre = Some(make.mm(6.0));
        part.turns = Some(make.one(3.0));
        part.beneath = make.stretches(&[[1.4, 0.9], [3.0, 0.9]]);
    });
    make.add("wing", Way::Slip, 1.8, |make, part| {
        part.length = Some(make.mm(13.5));
        part.width = Some(make.mm(3.6));
        part.count = Some(make.one(2.0));
        part.shape = Shape { over_the_back: true, ..Shape::default() };
    });
    make.card
}

/// A palmered fly with spent wings and a throat, for the forms the others lack.
pub(crate) fn spinner() -> Card {
    let mut make = Maker::new("Weir Spinner", "spinner dry", "14", [4.4, 8.8, 0.4]);
    make.add("tail", Way::Bunch, 7.9, |make, part| {
        part.length = Some(make.mm(12.0));
        part.count = Some(make.one(4.0));
    });
    make.add("body", Way::Wound, 7.9, |make, part| {
        part.span = Some((make.mm(7.9), make.mm(2.6)));
        part.width = Some(make.mm(0.4));
        part.turns = Some(make.one(13.3));
        part.flue = Some(1.6);
        part.beneath = make.stretches(&[[2.6, 0.6], [7.9, 0.5]]);
    });
    make.add("wing", Way::Bunch, 2.2, |make, part| {
        part.length = Some(make.mm(8.8));
        part.shape = Shape { spent: true, ..Shape::default() };
    });
    make.add("hackle", Way::Hackle, 7.5, |make, part| {
        part.span = Some((make.mm(7.5), make.mm(3.0)));
        part.fibre = Some(make.mm(5.0));
        part.turns = Some(make.one(6.0));
        part.beneath = make.stretches(&[[2.6, 1.4], [7.9, 1.3]]);
    });
    make.add("throat", Way::Bunch, 1.4, |make, part| {
        part.length = Some(make.mm(4.0));
        part.shape = Shape { beneath: true, ..Shape::default() };
    });
    make.card
}
