//! The one table of actions. What a key does, the hints at the foot and the help are all read off it, so that they
//! cannot disagree.

use crate::measure::words::fold;

mod key;
mod keymap;

pub use key::Key;
pub use keymap::{Keymap, Listed};

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
    /// The list of what stands on the shelf.
    Stores,
    /// What moved of one thing.
    Thing,
    /// A form of the stores.
    StoresForm,
    /// The lines of a count.
    Counting,
    /// A count about to be booked.
    CountEnd,
}

impl Place {
    /// Every place.
    pub const ALL: &'static [Place] = &[
        Place::Dressings,
        Place::Card,
        Place::Orders,
        Place::Plan,
        Place::Stores,
        Place::Thing,
        Place::StoresForm,
        Place::Counting,
        Place::CountEnd,
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
            Place::Stores => "In the list of the stores",
            Place::Thing => "On what moved",
            Place::StoresForm => "On a form of the stores",
            Place::Counting => "While the shelf is counted",
            Place::CountEnd => "When a count is to be booked",
        }
    }

    /// Whether a sign is typed here, so that no action may have it for a key.
    pub fn types(self, sign: char) -> bool {
        match self {
            Place::Filter => true,
            Place::Change | Place::StoresForm | Place::Counting => true,
            Place::HowMany | Place::LookingOver | Place::Questions => sign.is_ascii_digit(),
            Place::Measuring | Place::Booking => sign.is_ascii_digit() || sign == '.',
            _ => false,
        }
    }
}

/// Places that a file of keys may name together.
const TOGETHER: &[(&str, &[Place])] =
    &[("everywhere", ALL), ("where nothing is typed", UNTYPED), ("in a list", &[Dressings, Orders, Stores, Runs]), ("at the vice", RUN)];

/// What may stand as a heading in a file of keys, in folded form: places together, and each by itself.
pub fn headings() -> impl Iterator<Item = (String, &'static [Place])> {
    let alone = Place::ALL.chunks(1).filter_map(|alone| Some((fold(alone.first()?.words()), alone)));
    TOGETHER.iter().map(|(name, places)| ((*name).to_owned(), *places)).chain(alone)
}

/// The places of a heading.
fn heading(folded: &str) -> Option<&'static [Place]> {
    headings().find(|(name, _)| name == folded).map(|(_, places)| places)
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
    /// A dozen more of what is planned, tried out.
    DozenMore,
    /// A dozen fewer.
    DozenFewer,
    /// A higher rate an hour, tried out.
    RateUp,
    /// A lower one.
    RateDown,
    /// More rejects, tried out.
    RejectsUp,
    /// Fewer.
    RejectsDown,
    /// The other way of tying, tried out.
    OtherWay,
    /// The plan as ordered again.
    AsOrdered,
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
    /// Why the run is expected to take as long as it is.
    WhyTime,
    /// What stands on the shelf.
    Stores,
    /// Goods came in.
    Receive,
    /// Goods are used up beside the runs.
    TakeOut,
    /// Goods are spoilt or thrown out.
    ThrowOut,
    /// Parts are made beforehand.
    MakeParts,
    /// A figure of the stores is put right.
    PutRight,
    /// The next full pack is opened.
    OpenPack,
    /// Another order of the list.
    SortBy,
    /// Count the shelf.
    Count,
    /// To the end of a count.
    EndCount,
    /// Take a line out of a count again.
    Uncount,
    /// Drop a count.
    DropCount,
}

/// One row of the table.
#[derive(Debug)]
pub struct Action {
    /// What is done.
    pub deed: Deed,
    /// What it is called in a file of keys; rows of one name are one action where they meet in one place.
    pub name: &'static str,
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

use Place::{
    Agreeing, Aside, Booking, Card, Change, CountEnd, Counting, Dressings, Filter, Finishing, HowMany, LayingOut, LookingOver, Measuring, Orders, Page, Plan,
    Questions, RunDone, Runs, Stores, StoresForm, Thing, Tray, Vice, Why,
};

const LISTS: &[Place] = &[Dressings, Orders];
/// The stores, where nothing is typed.
const SHELF: &[Place] = &[Stores, Thing];
const FIGURES: &[Place] = &[Card, Plan];
const FLIES: &[Place] = &[Dressings, Card];
const SCREENS: &[Place] = &[Dressings, Card, Orders, Plan, Stores, Thing];
const UNTYPED: &[Place] = &[
    Dressings,
    Card,
    Orders,
    Plan,
    Why,
    Page,
    Runs,
    LayingOut,
    Vice,
    Tray,
    Measuring,
    Agreeing,
    Finishing,
    LookingOver,
    Booking,
    RunDone,
    Questions,
    Aside,
    Stores,
    Thing,
    CountEnd,
];
/// Where a run is in the vice, whatever its part.
const RUN: &[Place] = &[LayingOut, Vice, Tray, Measuring, Agreeing, Finishing, LookingOver, Booking, RunDone];
/// Where the big key goes on and nothing is typed.
const BIG: &[Place] = &[LayingOut, Vice, Tray, Agreeing, Finishing, RunDone];
/// Where figures are typed, or a list is gone through, and the big key goes on all the same.
const FORMS: &[Place] = &[Measuring, LookingOver, Booking, Questions, Aside];
/// Where Enter takes what is typed or chosen.
const TAKING: &[Place] = &[Measuring, LookingOver, Booking, Questions, Aside, Change, StoresForm, Counting, CountEnd];
/// Where a fly or a tray is in work.
const TYING: &[Place] = &[Vice, Tray];
/// Where there is something to page through; at the vice the same keys go on and back, for they are what a foot pedal sends.
const PAGED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Filter, Runs, Stores, Thing, Counting];
/// Where there is something to go up and down in.
const MOVING: &[Place] = &[
    Dressings,
    Card,
    Orders,
    Plan,
    Why,
    Page,
    Filter,
    Runs,
    Vice,
    LookingOver,
    Booking,
    Measuring,
    Questions,
    Aside,
    Change,
    Agreeing,
    RunDone,
    Stores,
    Thing,
    StoresForm,
    Counting,
];
/// Where Escape goes back; at the vice it goes elsewhere.
const BACKED: &[Place] =
    &[Dressings, Card, Orders, Plan, Why, Page, Filter, Runs, HowMany, Questions, Change, Aside, Stores, Thing, StoresForm, Counting, CountEnd];
/// Where there are a first and a last.
const ENDED: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs, Stores, Thing];
const TO_THE_VICE: &[Place] = &[Dressings, Card, Orders, Plan, Why, Page, Runs, HowMany, Stores, Thing, CountEnd];
/// Where leaving is one key: everywhere but among letters that are typed.
const LEAVING: &[Place] = &[
    Dressings,
    Card,
    Orders,
    Plan,
    Why,
    Page,
    Runs,
    HowMany,
    LayingOut,
    Vice,
    Tray,
    Measuring,
    Agreeing,
    Finishing,
    LookingOver,
    Booking,
    RunDone,
    Questions,
    Aside,
    Stores,
    Thing,
    CountEnd,
];
const ALL: &[Place] = Place::ALL;

macro_rules! actions {
    ($($deed:ident, $name:literal, [$($key:expr),+], $label:literal, $priority:literal, $places:expr, $help:literal;)*) => {
        /// The table.
        pub static ACTIONS: &[Action] = &[
            $(Action { deed: Deed::$deed, name: $name, keys: &[$($key),+], label: $label, help: $help, places: $places, priority: $priority },)*
        ];
    };
}

actions! {
    GoOn, "go on", [Key::Char(' '), Key::Enter, Key::PageDown], "on", 1, BIG, "what is in hand is done: on to the next; after a pause it only wakes";
    GoOn, "go on", [Key::Char(' '), Key::PageDown], "on", 1, FORMS, "on, with what stands there";
    Take, "take", [Key::Enter], "take it", 2, TAKING, "take what is typed or chosen; where nothing is typed, on";
    GoBack, "go back", [Key::Backspace, Key::PageUp], "back", 2, BIG, "back to the place before, as often as you like";
    GoBack, "go back", [Key::PageUp], "", 9, &[Measuring, LookingOver, Booking], "back to the place before";
    Depth, "depth", [Key::Tab], "depth", 2, TYING, "how much a press covers: a step, a stage, a whole fly; by stages the whole tray";
    Fewer, "one fewer", [Key::Down], "one fewer", 2, &[Tray], "one fly fewer is on the tray";
    More, "one more", [Key::Up], "one more", 3, &[Tray], "one fly more is on the tray";
    More, "bad one", [Key::Up, Key::Char('b')], "bad one", 2, &[LayingOut], "a bad one found: it is laid aside and counted";
    Fewer, "one bad one fewer", [Key::Down], "", 9, &[LayingOut], "one bad one fewer";
    More, "one more", [Key::Right, Key::Char('+')], "more", 2, &[LookingOver], "one more fails for this reason";
    Fewer, "one fewer", [Key::Left, Key::Char('-')], "fewer", 3, &[LookingOver], "one fewer";
    More, "next answer", [Key::Right], "next answer", 2, &[Questions], "the next answer";
    Fewer, "answer before", [Key::Left], "", 9, &[Questions], "the answer before";
    Turn, "turn", [Key::Tab], "what becomes of them", 3, &[LookingOver], "what becomes of those that fail: mended, second, stripped, lost";
    Turn, "turn", [Key::Tab], "weigh", 3, &[Booking], "by weighing before and after, and by counting again";
    Turn, "turn", [Key::Tab], "one by one, by stages, a sample", 3, &[HowMany], "tied one by one, by stages on trays, or a sample first";
    More, "more on it", [Key::Right], "", 9, &[HowMany], "more on a tray";
    Fewer, "fewer on it", [Key::Left], "", 9, &[HowMany], "fewer on a tray";
    Mishap, "mishap", [Key::Char('m')], "mishap", 3, &[Vice], "something went wrong (silk broke, a step was missed): back to where it can be caught again; counted, no reject";
    PutAside, "put aside", [Key::Char('a')], "put aside", 4, &[Vice], "put the fly in hand aside half done and take the next one";
    TakeAside, "take up again", [Key::Char('t')], "take up", 3, TYING, "take a fly that was put aside up again";
    GiveUp, "give up", [Key::Char('g')], "give up", 5, &[Vice], "give the fly in hand up; another is tied in its place";
    Rest, "pause", [Key::Char('p')], "pause", 3, RUN, "pause: time stands still until this key or the next press";
    Undo, "undo", [Key::Char('u')], "undo", 3, RUN, "take back what was done last, whatever it was";
    Far, "far", [Key::Char('f')], "far", 4, &[Vice], "the step alone, as large as the window; and back";
    Why, "why", [Key::Char('w')], "why", 5, RUN, "why the figure of what is in hand is what it is";
    WhyTime, "why so long", [Key::Char('W')], "", 9, TYING, "why the flies that are left are expected to take so long";
    NoteChange, "note a change", [Key::Char('c')], "change", 6, &[Vice, LayingOut], "note that a lot, a box or a figure is another from the fly in hand on";
    MoreFlies, "a fly more", [Key::Char('+'), Key::Char('=')], "a fly more", 6, &[Vice, Finishing, Booking], "make the run a fly longer";
    NextPart, "next part", [Key::Char('n')], "next part", 5, &[LayingOut, Vice, Tray, Finishing], "on to the next part of the run; what is half done is put aside";
    NextPart, "next part", [Key::Char('n')], "look over again", 4, &[Booking], "look the flies over again: one that passed may fail";
    Questions, "questions", [Key::Char('l')], "questions", 4, RUN, "the questions that waited; unanswered, the stated answer holds";
    Differs, "what differs", [Key::Char('i')], "what differs", 4, RUN, "what has changed in the dressing's file since the run was begun";
    LookUp, "elsewhere", [Key::Escape], "elsewhere", 4, RUN, "to the other screens; the run stays in the vice and its time goes on";
    EndSitting, "end sitting", [Key::Char('e')], "end sitting", 4, RUN, "end the sitting: the run keeps its place among the runs to go on with";
    EndSitting, "end sitting", [Key::Char('e')], "end sitting", 2, &[Questions], "end the sitting; what is not answered stays as stated";
    TakeUp, "take up", [Key::Enter, Key::Char(' '), Key::Right], "go on with it", 2, &[Runs], "go on with the chosen run where it was left";
    Begin, "begin", [Key::Enter], "begin", 2, &[HowMany], "begin a run of so many flies";
    Size, "size", [Key::Char('s')], "size", 2, FLIES, "the next hook size of the dressing; everything is worked anew";
    SizeBefore, "size before", [Key::Char('S')], "", 9, FLIES, "the hook size before";
    Larger, "larger", [Key::Char('+'), Key::Char('=')], "", 9, FLIES, "the next larger hook of the dressing";
    Smaller, "smaller", [Key::Char('-')], "", 9, FLIES, "the next smaller hook of the dressing";
    Variant, "variant", [Key::Char('v')], "variant", 3, FLIES, "the next variant of the dressing";
    VariantBefore, "variant before", [Key::Char('V')], "", 9, FLIES, "the variant before";
    Why, "why", [Key::Char('w'), Key::Enter], "why", 2, FIGURES, "why the chosen figure is what it is: formula, inputs, where each came from";
    Into, "into", [Key::Enter, Key::Right, Key::Char('w')], "into the input", 2, &[Why], "go into the chosen input";
    Out, "out", [Key::Backspace, Key::Left], "out", 3, &[Why], "come out of it again";
    DozenMore, "dozen more", [Key::Char('+'), Key::Char('=')], "dozen more", 4, &[Plan], "tried out: a dozen more of the chosen run, or of all where none is chosen; the file stays as it is";
    DozenFewer, "dozen fewer", [Key::Char('-')], "", 9, &[Plan], "tried out: a dozen fewer";
    RateUp, "rate up", [Key::Char('h')], "", 9, &[Plan], "tried out: a higher rate an hour at the vice";
    RateDown, "rate down", [Key::Char('H')], "", 9, &[Plan], "tried out: a lower rate";
    RejectsUp, "more rejects", [Key::Char('j')], "", 9, &[Plan], "tried out: more of the flies do not pass";
    RejectsDown, "fewer rejects", [Key::Char('J')], "", 9, &[Plan], "tried out: fewer do not pass";
    OtherWay, "other way", [Key::Char('s')], "stages", 6, &[Plan], "tried out: tied by stages, or fly by fly again";
    AsOrdered, "as ordered", [Key::Char('x')], "as ordered", 3, &[Plan], "nothing tried out any more: the plan as ordered";
    Tie, "tie", [Key::Char('t')], "tie", 2, FLIES, "tie this dressing in this size and variant: how many flies?";
    Onward, "onward", [Key::Tab], "figures", 4, LISTS, "on to the figures of what is chosen";
    Onward, "onward", [Key::Tab], "list", 4, &[Card], "back to the list";
    Onward, "onward", [Key::Tab], "next section", 4, &[Plan], "on to the next section: flies, lay out, buy, time, cost and price; from there to the list";
    Onward, "onward", [Key::Enter, Key::Right], "", 9, LISTS, "on to its figures too";
    Backward, "backward", [Key::BackTab], "", 9, SCREENS, "the other way round";
    Below, "from below", [Key::Char('b')], "from below", 7, FLIES, "look at the fly from below, and from the side again";
    Advice, "advice", [Key::Char('a')], "advice", 5, SCREENS, "advice met while the card or the plan was worked";
    Filter, "find", [Key::Char('/')], "find", 5, SCREENS, "find in the list by parts of words: names and kinds, else materials; orders by customer, else by dressing";
    Dressings, "dressings", [Key::Char('d')], "dressings", 3, UNTYPED, "the dressings";
    Orders, "orders", [Key::Char('o')], "orders", 3, UNTYPED, "the orders and what each takes, costs and earns";
    Stores, "stores", [Key::Char('k')], "stores", 3, UNTYPED, "the stores: what is kept on the shelf, what moved, what is low";
    Receive, "received", [Key::Char('i'), Key::Insert], "received", 2, SHELF, "goods came in: of what is chosen, how much, from whom, which dye lot";
    TakeOut, "taken out", [Key::Char('t')], "taken out", 3, SHELF, "used up beside the runs; runs book what they take themselves";
    ThrowOut, "thrown out", [Key::Char('x')], "thrown out", 6, SHELF, "spoilt, lost or thrown out";
    MakeParts, "made", [Key::Char('m')], "made", 4, SHELF, "parts made beforehand: what they are made of goes out, they come in";
    PutRight, "put right", [Key::Char('p')], "put right", 4, SHELF, "what there really is of the chosen line, and why; of goods kept by eye what is seen";
    OpenPack, "open a pack", [Key::Char('n')], "open a pack", 5, SHELF, "of goods kept by eye: the next full pack is opened";
    Undo, "undo", [Key::Char('u')], "undo", 3, SHELF, "take a movement back: the chosen one, else the newest; a reversing entry is added";
    Count, "count", [Key::Char('c')], "count", 2, SHELF, "count the shelf, or go on with a count that was left";
    SortBy, "sort", [Key::Char('s')], "sort", 6, SHELF, "by drawer, by name, what is low first";
    EndCount, "end of the count", [Key::Tab, Key::End], "book it", 2, &[Counting], "to the end of the count: what booking it would do";
    Uncount, "take out again", [Key::Delete], "take out again", 5, &[Counting], "take the line out of the count again";
    DropCount, "drop the count", [Key::Char('x')], "drop it", 3, &[CountEnd], "drop the count; nothing of it is booked";
    Onward, "onward", [Key::Tab], "what moved", 4, &[Stores], "on to what moved of the chosen line";
    Onward, "onward", [Key::Tab], "list", 4, &[Thing], "back to the list of the stores";
    Onward, "onward", [Key::Enter, Key::Right], "", 9, &[Stores], "on to what moved too";
    Down, "down", [Key::Tab], "", 9, &[StoresForm], "to the next field";
    Left, "left", [Key::Left], "", 9, &[StoresForm], "another lot";
    Right, "right", [Key::Right], "", 9, &[StoresForm], "another lot, the other way";
    Vice, "vice", [Key::Char('r')], "vice", 3, TO_THE_VICE, "the vice: the fly in it, or else the runs to go on with";
    Back, "back", [Key::Escape], "back", 3, BACKED, "back: close what lies on top, take the filter away, return to the list or the screen before";
    Up, "up", [Key::Up], "", 9, MOVING, "up";
    Down, "down", [Key::Down], "", 9, MOVING, "down";
    Up, "one more", [Key::Up], "", 9, &[HowMany], "a fly more";
    Down, "one fewer", [Key::Down], "", 9, &[HowMany], "a fly fewer";
    PageUp, "dozen more", [Key::PageUp], "", 9, &[HowMany], "a dozen more";
    PageDown, "dozen fewer", [Key::PageDown], "", 9, &[HowMany], "a dozen fewer";
    Left, "left", [Key::Left], "", 9, FIGURES, "to the figure on the left";
    Right, "right", [Key::Right], "", 9, FIGURES, "to the figure on the right; more of them may lie beyond the edge";
    PageUp, "page up", [Key::PageUp], "", 9, PAGED, "up by a page";
    PageDown, "page down", [Key::PageDown], "", 9, PAGED, "down by a page";
    First, "first", [Key::Home], "", 9, ENDED, "to the first";
    Last, "last", [Key::End], "", 9, ENDED, "to the last";
    Keep, "keep", [Key::Enter, Key::Tab], "keep it", 2, &[Filter], "done with typing; the filter stays";
    Rub, "rub out", [Key::Backspace], "", 9, &[Filter, HowMany, Measuring, LookingOver, Booking, Change, StoresForm, Counting], "rub out the last letter or figure";
    Help, "help", [Key::Char('?')], "help", 1, UNTYPED, "this help, and back again";
    Leave, "leave", [Key::Char('q')], "leave", 1, LEAVING, "leave; nothing here needs saving, and a run in the vice keeps its place";
    LeaveAtOnce, "leave at once", [Key::Control('c')], "", 9, ALL, "leave from anywhere, while a filter is typed too";
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
    fn a_name_means_one_thing_in_one_place() {
        let mut taken: HashMap<(Place, &str), Deed> = HashMap::new();
        for action in ACTIONS {
            for place in action.places {
                let other = taken.insert((*place, action.name), action.deed);
                assert!(other.is_none_or(|other| other == action.deed), "{} {place:?}: {other:?} and {:?}", action.name, action.deed);
            }
        }
    }

    #[test]
    fn no_key_is_typed_where_it_does_something() {
        for (action, place) in ACTIONS.iter().flat_map(|action| action.places.iter().map(move |place| (action, place))) {
            let typed = action.keys.iter().find(|key| matches!(key, Key::Char(sign) if place.types(*sign)));
            assert!(typed.is_none(), "{typed:?} {place:?}: {}", action.help);
        }
    }

    #[test]
    fn every_heading_is_one_of_its_own() {
        let all: Vec<(String, &[Place])> = headings().collect();
        for (nth, (name, places)) in all.iter().enumerate() {
            assert!(*name == fold(name) && !places.is_empty(), "{name}");
            assert!(all[..nth].iter().all(|(other, _)| other != name), "{name}");
        }
    }

    #[test]
    fn a_narrow_foot_keeps_the_way_out_and_the_help() {
        let keys = Keymap::default();
        let words: Vec<_> = keys.hints(Place::Dressings, 16, &|_| true).into_iter().map(|(_, label)| label).collect();
        assert_eq!(words, ["help", "leave"]);
        assert!(keys.hints(Place::Dressings, 0, &|_| true).is_empty());
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
