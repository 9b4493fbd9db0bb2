//! The one table of actions. What a key does, the hints at the foot and the help are all read off it, so that they
//! cannot disagree.

use std::fmt;

/// A key as it is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// A letter, figure or sign.
    Char(char),
    /// A letter with the control key.
    Control(char),
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Home.
    Home,
    /// End.
    End,
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Tab.
    Tab,
    /// Shift and tab.
    BackTab,
    /// Backspace.
    Backspace,
}

/// The keys that are no letters, by their names.
const NAMED: &[(&str, Key)] = &[
    ("Up", Key::Up),
    ("Down", Key::Down),
    ("Left", Key::Left),
    ("Right", Key::Right),
    ("PageUp", Key::PageUp),
    ("PageDown", Key::PageDown),
    ("Home", Key::Home),
    ("End", Key::End),
    ("Enter", Key::Enter),
    ("Esc", Key::Escape),
    ("Tab", Key::Tab),
    ("Shift-Tab", Key::BackTab),
    ("Backspace", Key::Backspace),
    ("Space", Key::Char(' ')),
];

impl Key {
    /// Reads a key by its name (`down`, `Shift-Tab`, `Ctrl-c`, `w`).
    pub fn read(name: &str) -> Option<Key> {
        if let Some((_, key)) = NAMED.iter().find(|(named, _)| named.eq_ignore_ascii_case(name)) {
            return Some(*key);
        }
        let (control, rest) = match name.strip_prefix("Ctrl-") {
            Some(rest) => (true, rest),
            None => (false, name),
        };
        let mut chars = rest.chars();
        let only = chars.next().filter(|_| chars.next().is_none())?;
        Some(if control { Key::Control(only) } else { Key::Char(only) })
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (NAMED.iter().find(|(_, key)| key == self), self) {
            (Some((name, _)), _) => f.write_str(name),
            (None, Key::Char(c)) => write!(f, "{c}"),
            (None, Key::Control(c)) => write!(f, "Ctrl-{c}"),
            (None, _) => Ok(()),
        }
    }
}

/// Where keys go: the place of the screen that listens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The list of dressings.
    Dressings,
    /// The figures of a worked card.
    Card,
    /// The list of orders.
    Orders,
    /// The figures of a plan.
    Plan,
    /// The derivation of a figure.
    Why,
    /// A page to read: help, advice.
    Page,
    /// The words of a filter while they are typed.
    Filter,
    /// The list of runs to go on with.
    Runs,
    /// The number of flies of a run about to be begun.
    HowMany,
    /// The fly in the vice.
    Vice,
    /// The things to lay out.
    LayingOut,
    /// The tray, to be counted.
    Tray,
    /// The lengths of a sample.
    Measuring,
    /// A sample to be agreed.
    Agreeing,
    /// What is done after the vice.
    Finishing,
    /// The flies beside the sample.
    LookingOver,
    /// What was used.
    Booking,
    /// A run that is done.
    RunDone,
    /// The questions that waited.
    Questions,
    /// What is another from the fly in hand on, while it is typed.
    Change,
    /// The flies put aside.
    Aside,
}

impl Place {
    /// Every place.
    pub const ALL: &'static [Place] = &[
        Place::Dressings,
        Place::Card,
        Place::Orders,
        Place::Plan,
        Place::Why,
        Place::Page,
        Place::Filter,
        Place::HowMany,
        Place::Runs,
        Place::LayingOut,
        Place::Vice,
        Place::Tray,
        Place::Measuring,
        Place::Agreeing,
        Place::Finishing,
        Place::LookingOver,
        Place::Booking,
        Place::RunDone,
        Place::Questions,
        Place::Change,
        Place::Aside,
    ];

    /// In words, as a heading of the help.
    pub fn words(self) -> &'static str {
        match self {
            Place::Dressings => "In the list of dressings",
            Place::Card => "On a worked card",
            Place::Orders => "In the list of orders",
            Place::Plan => "On a plan",
            Place::Why => "On a derivation",
            Place::Page => "On a page of text",
            Place::Filter => "While a filter is typed",
            Place::Runs => "In the list of runs",
            Place::HowMany => "While the number of flies is typed",
            Place::Vice => "With a fly in the vice",
            Place::LayingOut => "While a run is laid out",
            Place::Tray => "When the tray is to be counted",
            Place::Measuring => "While a sample is measured",
            Place::Agreeing => "When a sample is to be agreed",
            Place::Finishing => "While a run is finished",
            Place::LookingOver => "While a run is looked over",
            Place::Booking => "While a run is booked",
            Place::RunDone => "With a run that is done",
            Place::Questions => "Among the questions that waited",
            Place::Change => "While a change in the run is typed",
            Place::Aside => "Among the flies put aside",
        }
    }
}

/// What can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Deed {
    /// Leave the program.
    Leave,
    /// Leave the program from anywhere, a filter being typed among them.
    LeaveAtOnce,
    /// Help.
    Help,
    /// One step back: close what lies on top, take a filter away, return to the list.
    Back,
    /// Go up a row.
    Up,
    /// Go down a row.
    Down,
    /// Go a column to the left.
    Left,
    /// Go a column to the right.
    Right,
    /// Go up a page.
    PageUp,
    /// Go down a page.
    PageDown,
    /// Go to the first row.
    First,
    /// Go to the last row.
    Last,
    /// On to the next part of the screen.
    Onward,
    /// Back to the part of the screen before.
    Backward,
    /// Say why the figure is what it is.
    Why,
    /// Go into an input of a derivation.
    Into,
    /// Come out of an input again.
    Out,
    /// The next hook size of the dressing.
    Size,
    /// The hook size before.
    SizeBefore,
    /// The next larger hook.
    Larger,
    /// The next smaller hook.
    Smaller,
    /// The next variant.
    Variant,
    /// The variant before.
    VariantBefore,
    /// The fly from below, and from the side again.
    Below,
    /// Advice met while working the card or the plan.
    Advice,
    /// The dressings.
    Dressings,
    /// The orders.
    Orders,
    /// Type a filter for the list.
    Filter,
    /// Take the last letter of the filter away.
    Rub,
    /// Done with typing the filter; it stays.
    Keep,
    /// Tie the dressing shown: ask for the number of flies.
    Tie,
    /// Begin the run with the number typed.
    Begin,
    /// The vice: the fly in it, or the runs to go on with.
    Vice,
    /// Go on with the chosen run.
    TakeUp,
    /// The step, stage or fly in hand is done.
    GoOn,
    /// Back to the place before.
    GoBack,
    /// Rest, and work again.
    Rest,
    /// How much a press covers: step, stage, fly.
    Depth,
    /// End the sitting; the run waits.
    EndSitting,
    /// To the screen before; the fly stays in the vice.
    LookUp,
    /// Something went wrong with the fly in hand: back to where it can be caught again.
    Mishap,
    /// Put the fly in hand aside half done.
    PutAside,
    /// Take a fly that was put aside up again.
    TakeAside,
    /// Give the fly in hand up.
    GiveUp,
    /// Take back what was done last.
    Undo,
    /// The step alone, as large as the window, and back.
    Far,
    /// Note that something is another from the fly in hand on.
    NoteChange,
    /// Another fly to the run.
    MoreFlies,
    /// On to the next part of the run.
    NextPart,
    /// The questions that waited.
    Questions,
    /// One more.
    More,
    /// One fewer.
    Fewer,
    /// What becomes of them; how the amount is known; how they are tied.
    Turn,
    /// Take what is typed.
    Take,
    /// What differs from the dressing's file.
    Differs,
}

/// One row of the table.
pub struct Action {
    /// What is done.
    pub deed: Deed,
    /// By which keys; the first is the one shown at the foot.
    pub keys: &'static [Key],
    /// A word for the foot of the screen; empty where none is shown there.
    pub label: &'static str,
    /// What it does, for the help.
    pub help: &'static str,
    /// Where it works.
    pub places: &'static [Place],
    /// Which hints stay when the foot is narrow: the lowest first.
    pub priority: u8,
}

use Place::{Card, Dressings, Filter, HowMany, Orders, Page, Plan, Runs, Vice, Why};

const LISTS: &[Place] = &[Dressings, Orders];
const FIGURES: &[Place] = &[Card, Plan];
const FLIES: &[Place] = &[Dressings, Card];
const SCREENS: &[Place] = &[Dressings, Card, Orders, Plan];
const UNTYPED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs, Vice];
/// Where there is something to page through; at the vice the same keys go on and back, for they are what a foot pedal sends.
const PAGED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Filter, Runs];
/// Where there is something to go up and down in.
const MOVING: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Filter, Runs, Vice];
/// Where Escape goes back; at the vice it goes elsewhere.
const BACKED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Filter, Runs, HowMany];
/// Where there are a first and a last.
const ENDED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs];
const TO_THE_VICE: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs, HowMany];
/// Where leaving is one key: everywhere but among letters that are typed.
const LEAVING: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs, HowMany, Vice];
const ALL: &[Place] = Place::ALL;

macro_rules! actions {
    ($($deed:ident, [$($key:expr),+], $label:literal, $priority:literal, $places:expr, $help:literal;)*) => {
        /// The table.
        pub static ACTIONS: &[Action] = &[
            $(Action { deed: Deed::$deed, keys: &[$($key),+], label: $label, help: $help, places: $places, priority: $priority },)*
        ];
    };
}

actions! {
    GoOn, [Key::Char(' '), Key::Enter, Key::PageDown], "on", 1, &[Vice], "this step, stage or fly is done: on to the next; after a pause it only wakes";
    GoBack, [Key::Backspace, Key::PageUp], "back", 2, &[Vice], "back to the place before, as often as you like";
    Depth, [Key::Tab], "depth", 2, &[Vice], "how much a press covers: a step, a stage, a whole fly";
    Rest, [Key::Char('p')], "pause", 2, &[Vice], "pause: time stands still until this key or the next press";
    LookUp, [Key::Escape], "elsewhere", 3, &[Vice], "to the other screens; the fly stays in the vice and its time goes on";
    EndSitting, [Key::Char('e')], "end sitting", 4, &[Vice], "end the sitting: the run keeps its place among the runs to go on with";
    Why, [Key::Char('w')], "why", 5, &[Vice], "why the figure of what is in hand is what it is";
    TakeUp, [Key::Enter, Key::Char(' '), Key::Right], "go on with it", 2, &[Runs], "go on with the chosen run where it was left";
    Begin, [Key::Enter], "begin", 2, &[HowMany], "begin a run of so many flies";
    Size, [Key::Char('s')], "size", 2, FLIES, "the next hook size of the dressing; everything is worked anew";
    SizeBefore, [Key::Char('S')], "", 9, FLIES, "the hook size before";
    Larger, [Key::Char('+'), Key::Char('=')], "", 9, FLIES, "the next larger hook of the dressing";
    Smaller, [Key::Char('-')], "", 9, FLIES, "the next smaller hook of the dressing";
    Variant, [Key::Char('v')], "variant", 3, FLIES, "the next variant of the dressing";
    VariantBefore, [Key::Char('V')], "", 9, FLIES, "the variant before";
    Why, [Key::Char('w'), Key::Enter], "why", 2, FIGURES, "why the chosen figure is what it is: formula, inputs, where each came from";
    Into, [Key::Enter, Key::Right, Key::Char('w')], "into the input", 2, &[Why], "go into the chosen input";
    Out, [Key::Backspace, Key::Left], "out", 3, &[Why], "come out of it again";
    Tie, [Key::Char('t')], "tie", 2, FLIES, "tie this dressing in this size and variant: how many flies?";
    Onward, [Key::Tab], "figures", 4, LISTS, "on to the figures of what is chosen";
    Onward, [Key::Tab], "list", 4, &[Card], "back to the list";
    Onward, [Key::Tab], "next table", 4, &[Plan], "on to the materials, and from there to the list";
    Onward, [Key::Enter, Key::Right], "", 9, LISTS, "on to its figures too";
    Backward, [Key::BackTab], "", 9, SCREENS, "the other way round";
    Below, [Key::Char('b')], "from below", 7, FLIES, "look at the fly from below, and from the side again";
    Advice, [Key::Char('a')], "advice", 5, SCREENS, "advice met while the card or the plan was worked";
    Filter, [Key::Char('/')], "find", 5, SCREENS, "find in the list by parts of words: names and kinds, else materials; orders by customer, else by dressing";
    Dressings, [Key::Char('d')], "dressings", 3, UNTYPED, "the dressings";
    Orders, [Key::Char('o')], "orders", 3, UNTYPED, "the orders and what each takes, costs and earns";
    Vice, [Key::Char('r')], "vice", 3, TO_THE_VICE, "the vice: the fly in it, or else the runs to go on with";
    Back, [Key::Escape], "back", 3, BACKED, "back: close what lies on top, take the filter away, return to the list or the screen before";
    Up, [Key::Up], "", 9, MOVING, "up";
    Down, [Key::Down], "", 9, MOVING, "down";
    Up, [Key::Up], "", 9, &[HowMany], "a fly more";
    Down, [Key::Down], "", 9, &[HowMany], "a fly fewer";
    PageUp, [Key::PageUp], "", 9, &[HowMany], "a dozen more";
    PageDown, [Key::PageDown], "", 9, &[HowMany], "a dozen fewer";
    Left, [Key::Left], "", 9, FIGURES, "to the figure on the left";
    Right, [Key::Right], "", 9, FIGURES, "to the figure on the right; more of them may lie beyond the edge";
    PageUp, [Key::PageUp], "", 9, PAGED, "up by a page";
    PageDown, [Key::PageDown], "", 9, PAGED, "down by a page";
    First, [Key::Home], "", 9, ENDED, "to the first";
    Last, [Key::End], "", 9, ENDED, "to the last";
    Keep, [Key::Enter, Key::Tab], "keep it", 2, &[Filter], "done with typing; the filter stays";
    Rub, [Key::Backspace], "", 9, &[Filter, HowMany], "rub out the last letter or figure";
    Help, [Key::Char('?')], "help", 1, UNTYPED, "this help, and back again";
    Leave, [Key::Char('q')], "leave", 1, LEAVING, "leave; nothing here needs saving, and a run in the vice keeps its place";
    LeaveAtOnce, [Key::Control('c')], "", 9, ALL, "leave from anywhere, while a filter is typed too";
}

/// What the key does in this place.
pub fn deed(key: Key, place: Place) -> Option<Deed> {
    ACTIONS.iter().find(|action| action.places.contains(&place) && action.keys.contains(&key)).map(|action| action.deed)
}

/// The hints for the foot of the screen as `(key, label)`, as many as fit into `width` columns with two between them;
/// `open` tells whether a deed would do anything now.
pub fn hints(place: Place, width: usize, open: &dyn Fn(Deed) -> bool) -> Vec<(String, &'static str)> {
    let mut chosen: Vec<(u8, usize, String, &'static str)> = ACTIONS
        .iter()
        .enumerate()
        .filter(|(_, action)| !action.label.is_empty() && action.places.contains(&place) && open(action.deed))
        .filter_map(|(nth, action)| Some((action.priority, nth, action.keys.first()?.to_string(), action.label)))
        .collect();
    chosen.sort_by_key(|(priority, nth, ..)| (*priority, *nth));
    let mut used = 0;
    chosen.retain(|(_, _, key, label)| {
        let wanted = key.chars().count() + 1 + label.chars().count() + if used == 0 { 0 } else { 2 };
        let fits = used + wanted <= width;
        used += if fits { wanted } else { 0 };
        fits
    });
    chosen.sort_by_key(|(_, nth, ..)| *nth);
    chosen.into_iter().map(|(_, _, key, label)| (key, label)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;

    #[test]
    fn no_key_means_two_things_in_one_place() {
        let mut taken: HashMap<(Place, Key), &str> = HashMap::new();
        for action in ACTIONS {
            for place in action.places {
                for key in action.keys {
                    let other = taken.insert((*place, *key), action.help);
                    assert!(other.is_none(), "{key} {place:?}: \"{}\" and \"{}\"", other.unwrap_or_default(), action.help);
                }
            }
        }
    }

    #[test]
    fn a_narrow_foot_keeps_the_way_out_and_the_help() {
        let words: Vec<_> = hints(Place::Dressings, 16, &|_| true).into_iter().map(|(_, label)| label).collect();
        assert_eq!(words, ["help", "leave"]);
        assert!(hints(Place::Dressings, 0, &|_| true).is_empty());
    }

    #[test]
    fn a_key_reads_back_from_its_name() {
        for action in ACTIONS {
            for key in action.keys {
                assert_eq!(Key::read(&key.to_string()), Some(*key));
            }
        }
    }
}
