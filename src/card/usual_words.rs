//! The words of a step that says nothing itself. The card's figures stand in them as fields (`{tail.length}`), as in a
//! dresser's own words, so that they scale once they are written into a file; what is open is left out.

use crate::diagnostic::Told;
use crate::dressing::{Act, Base, Bed, Length, Part, Step, Turns, Way};
use crate::measure::words;
use crate::why::Geometry;
use std::rc::Rc;

/// Says one step after the other: which bed of silk and which finish it is hangs on those before.
pub(super) struct Speaker<'a> {
    parts: &'a [Rc<Part>],
    sheet: &'a Geometry,
    beds: usize,
    finishes: usize,
    /// Finishes of the whole fly: with two silks the last is done with the second.
    of_finishes: usize,
}

impl<'a> Speaker<'a> {
    pub(super) fn new(parts: &'a [Rc<Part>], sheet: &'a Geometry, steps: &[Step]) -> Self {
        let of_finishes = steps.iter().flat_map(|step| &step.acts).filter(|act| matches!(act, Act::Finish(_))).count();
        Speaker { parts, sheet, beds: 0, finishes: 0, of_finishes }
    }

    /// Passes over a step that has words of its own.
    pub(super) fn pass(&mut self, step: &Step) {
        self.beds += step.acts.iter().filter(|act| matches!(act, Act::Silk { .. })).count();
        self.finishes += step.acts.iter().filter(|act| matches!(act, Act::Finish(_))).count();
    }

    /// The words of a step.
    pub(super) fn say(&mut self, step: &Step) -> String {
        step.acts.iter().map(|act| self.act(act)).collect::<Vec<_>>().join(" ")
    }

    fn act(&mut self, act: &Act) -> String {
        match act {
            Act::Silk { bed, from, to } => {
                self.beds += 1;
                let how = match bed {
                    Bed::Touching => "Silk in touching turns".to_owned(),
                    Bed::Open => "Silk in open turns".to_owned(),
                    Bed::Turns(count) => format!("{count} turns of silk"),
                };
                let (start, end) = (format!("silk.from.{}", self.beds), format!("silk.to.{}", self.beds));
                let beside = |key: &str| self.field(key).map_or_else(String::new, |field| format!(" ({field})"));
                format!("{how}, {}{} to {}{}.", from.value, beside(&start), to.value, beside(&end))
            }
            Act::SilkTurns { turns, at: None } => format!("{} turns of silk.", turns.value),
            Act::SilkTurns { turns, at: Some(at) } => format!("{} turns of silk, {}.", turns.value, at.value),
            Act::Finish(count) => {
                self.finishes += 1;
                let key = match self.finishes {
                    last if last == self.of_finishes && self.field("head-silk.finish-turns").is_some() => "head-silk.finish-turns".to_owned(),
                    1 => "silk.finish-turns".to_owned(),
                    nth => format!("silk.finish-turns.{nth}"),
                };
                format!("{} turns, whip off.", self.field(&key).unwrap_or_else(|| count.value.to_string()))
            }
            // A material's name is the dresser's own: a brace in it is no field.
            Act::Coat(of) => format!("One coat of {}.", of.value.replace(['{', '}'], "")),
            Act::TieIn(parts) => self.each("Tie in the", parts, Self::tie_in),
            Act::Wind(parts) => self.winds(parts),
            Act::Fold(parts) => format!("{} and tie down.", self.each("Bring the", parts, Self::over).trim_end_matches('.')),
            Act::Stand(parts) => self.each("Raise the", parts, |_, _| Vec::new()),
            Act::Clip(parts) => self.each("Clip the", parts, |speaker, part| speaker.told(part, "clip", "to ", "")),
            Act::TurnOver => "Turn the hook over.".to_owned(),
        }
    }

    /// One sentence of several parts of this fly, each with its figures.
    fn each(&self, how: &str, parts: &[Told<String>], figures: impl Fn(&Self, &Part) -> Vec<String>) -> String {
        let one = |(nth, told): (usize, &Told<String>)| {
            let lead = if nth == 0 { how } else { "the" };
            let Some(part) = self.part(&told.value) else { return format!("{lead} {}", told.value) };
            let figures = figures(self, part);
            let joint = if figures.first().is_some_and(|first| first.starts_with("over ") || first.starts_with("to ")) { " " } else { ", " };
            let said = figures.join(", ");
            if said.is_empty() { format!("{lead} {}", told.value) } else { format!("{lead} {}{joint}{said}", told.value) }
        };
        // A part that this fly has not is not spoken of, unless nothing else is.
        let mine: Vec<&Told<String>> = parts.iter().filter(|told| self.part(&told.value).is_some()).collect();
        let spoken: Vec<&Told<String>> = if mine.is_empty() { parts.iter().collect() } else { mine };
        format!("{}.", spoken.into_iter().enumerate().map(one).collect::<Vec<_>>().join("; "))
    }

    /// Winding, each part by the word for how it goes on.
    fn winds(&self, parts: &[Told<String>]) -> String {
        let said = parts.iter().map(|told| {
            let one = std::slice::from_ref(told);
            match self.part(&told.value).and_then(way) {
                Some(Way::Dubbed) => self.each("Dub the", one, Self::body),
                Some(Way::Spun) => self.each("Spin in a loop and wind the", one, Self::body),
                Some(Way::Rope) => self.each("Twist together and wind the", one, Self::wind),
                _ => self.each("Wind the", one, Self::wind),
            }
        });
        said.collect::<Vec<_>>().join(" ")
    }

    fn tie_in(&self, part: &Part) -> Vec<String> {
        let fields = &part.fields;
        let mut said = Vec::new();
        if let Some(from) = &fields.carries_on {
            said.push(format!("of the fibres of the {}", from.value));
        }
        match way(part) {
            Some(Way::Bunch) if fields.thick.is_some() && fields.count.is_none() => said.extend(self.told(part, "thick", "a bunch ", " thick")),
            Some(Way::Bunch) => said.extend(self.counted(part, "count", "fibre")),
            Some(Way::Slip) => said.extend(self.more_than_one(part, "slips")),
            Some(Way::Strip) => said.extend(self.more_than_one(part, "strips")),
            Some(Way::Sheet) => said.extend(self.more_than_one(part, "sheets")),
            Some(Way::Pair) => said.extend(self.more_than_one(part, "pairs")),
            Some(Way::Whole) => said.extend(self.more_than_one(part, "of them")),
            Some(Way::Hackle) => said.extend(self.length(part, "fibre", fields.fibre.as_ref(), "fibres of ", "")),
            _ => {}
        }
        if matches!(way(part), Some(Way::Slip | Way::Strip | Way::Sheet)) {
            said.extend(self.told(part, "width", "", " wide"));
        }
        if matches!(way(part), Some(Way::Bunch | Way::Slip | Way::Strip | Way::Sheet | Way::Pair)) {
            said.extend(self.length(part, "length", fields.length.as_ref(), "", " long"));
        }
        match &fields.on {
            Some(Told { value: Base::Post(post), .. }) => said.push(format!("at the post of the {post}")),
            _ => said.extend(["at", "from"].into_iter().find_map(|key| self.told(part, key, "", " behind the eye").pop())),
        }
        said
    }

    fn wind(&self, part: &Part) -> Vec<String> {
        let fields = &part.fields;
        let mut said = Vec::new();
        if let Some(from) = &fields.carries_on {
            said.push(format!("of the fibres of the {}", from.value));
        }
        match fields.turns.as_ref().map(|turns| &turns.value) {
            Some(Turns::Split { of, .. }) => {
                let (behind, before) = (self.of(part, "turns-behind"), self.of(part, "turns-before"));
                if let (Some(behind), Some(before)) = (behind, before) {
                    let of = if of.is_empty() { String::new() } else { format!(" the {of}") };
                    said.push(format!("{behind} turns behind and {before} before{of}"));
                }
            }
            Some(Turns::Count(_)) => said.extend(self.counted(part, "turns", "turn")),
            // Only what lies along the hook can touch from end to end.
            Some(Turns::Touching) | None if self.of(part, "turns").is_some() => said.push("in touching turns".to_owned()),
            _ => {}
        }
        if fields.other_way.as_ref().is_some_and(|other| other.value) {
            said.push("the other way".to_owned());
        }
        match &fields.on {
            Some(Told { value: Base::Post(post), .. }) => said.push(format!("round the post of the {post}")),
            _ => said.extend(self.told(part, "to", "to ", " behind the eye")),
        }
        said.extend(self.told(part, "beyond", "", " of it beyond the hook"));
        // The part's name stands before: `Wind the body, in touching turns, to 3.0 mm ...`.
        if said.len() == 1 { said } else { vec![said.join(", ")] }
    }

    fn body(&self, part: &Part) -> Vec<String> {
        let mut said = Vec::new();
        match (self.of(part, "from"), self.of(part, "to")) {
            (Some(from), Some(to)) => said.push(format!("{from} to {to} behind the eye")),
            (_, Some(to)) => said.push(format!("as far as {to} behind the eye")),
            _ => {}
        }
        said.extend(self.told(part, "beyond", "", " of it beyond the hook"));
        match (self.of(part, "thick-start"), self.of(part, "thick-end")) {
            (Some(start), Some(end)) => said.push(format!("{start} to {end} thick")),
            _ => said.extend(self.told(part, "thick", "", " thick")),
        }
        said
    }

    fn over(&self, part: &Part) -> Vec<String> {
        let mut said = self.told(part, "to", "over to ", " behind the eye");
        if said.is_empty() {
            said.push("over".to_owned());
        }
        said
    }

    /// A length with what stands before and behind it; both ends of a range.
    fn length(&self, part: &Part, key: &str, rule: Option<&Told<Length>>, before: &str, behind: &str) -> Vec<String> {
        if rule.is_some_and(|rule| matches!(rule.value, Length::Between(..)))
            && let (Some(low), Some(high)) = (self.of(part, &format!("{key}.low")), self.of(part, &format!("{key}.high")))
        {
            return vec![format!("{before}{low} to {high}{behind}")];
        }
        self.told(part, key, before, behind)
    }

    fn told(&self, part: &Part, key: &str, before: &str, behind: &str) -> Vec<String> {
        self.of(part, key).map(|field| format!("{before}{field}{behind}")).into_iter().collect()
    }

    fn counted(&self, part: &Part, key: &str, what: &str) -> Option<String> {
        let s = if self.value(part, key) == Some(1.0) { "" } else { "s" };
        self.of(part, key).map(|field| format!("{field} {what}{s}"))
    }

    fn more_than_one(&self, part: &Part, what: &str) -> Option<String> {
        let field = self.of(part, "count")?;
        (self.value(part, "count") > Some(1.0)).then(|| format!("{field} {what}"))
    }

    fn value(&self, part: &Part, key: &str) -> Option<f64> {
        self.sheet.find(&format!("{}.{key}", part.name.value)).map(|fig| self.sheet.value(fig))
    }

    fn of(&self, part: &Part, key: &str) -> Option<String> {
        self.field(&format!("{}.{key}", part.name.value))
    }

    /// A field of the text, where the figure stands on the card.
    fn field(&self, key: &str) -> Option<String> {
        self.sheet.find(key).map(|_| format!("{{{key}}}"))
    }

    fn part(&self, name: &str) -> Option<&Part> {
        let name = words::fold(name);
        self.parts.iter().find(|part| part.name.value == name).map(Rc::as_ref)
    }
}

fn way(part: &Part) -> Option<Way> {
    part.fields.way.as_ref().map(|way| way.value)
}
