//! What stands on the shelf as the screen shows it: what the ledger has, laid beside what the bench's files name.

use crate::dressing::{Keep, Material, Pack};
use crate::ledger::{Brief, Count, CountLine, Line};
use crate::measure::words::fold;
use crate::measure::{Unit, Words};
use crate::stores::balance::Balance;
use crate::stores::low::{self, Asked, Low, Pace};
use crate::stores::typed::Facts;
use crate::stores::{ByEye, Goods, Lot, Sort, Thing, ThingId};
use crate::tui::Desk;
use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::collections::{BTreeMap, HashMap};

/// Months of use that are shown, and that averages are taken over.
pub const MONTHS: usize = 12;

/// What the ledger has, read at one go.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shelves {
    /// Everything that ever stood on the shelf.
    pub things: Vec<Thing>,
    /// What there is of each, in order of the things' numbers.
    pub balances: Vec<Balance>,
    /// What there is of goods kept by eye.
    pub by_eye: Vec<ByEye>,
    /// The lots that hold something.
    pub lots: Vec<Brief>,
    /// The count that is not over, with its lines.
    pub count: Option<(Count, Vec<CountLine>)>,
    /// What is to be told of how it was read.
    pub notice: Option<&'static str>,
}

/// What the orders of the bench need, by what a plan calls it, folded.
pub type Needs = HashMap<String, (Decimal, Unit)>;

/// What the orders of the bench need of everything, as they are planned today. An order that cannot be planned needs nothing yet.
pub fn needs(desk: &Desk) -> Needs {
    let mut needs = Needs::new();
    let given = crate::plan::Given { habits: desk.habits.clone(), ..crate::plan::Given::default() };
    for plan in desk.orders.values().filter_map(|order| crate::plan::work(order, &desk.dressings, &desk.shelf, &given).ok()) {
        for line in &plan.materials {
            let amount = plan.figures.value(line.amount);
            let (sum, unit) = needs.entry(fold(&line.name)).or_insert((Decimal::ZERO, line.unit));
            if let Some(more) = line.unit.convert(amount, *unit) {
                *sum = sum.saturating_add(more);
            }
        }
    }
    needs
}

/// What is known of one thing beyond its balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Detail {
    /// Which.
    pub thing: ThingId,
    /// Its lots.
    pub lots: Vec<Lot>,
    /// What moved, the newest first.
    pub history: Vec<Line>,
}

/// One line of the shelf.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its number, where the ledger knows it.
    pub thing: Option<ThingId>,
    /// What it is.
    pub goods: Goods,
    /// The unit it is kept in.
    pub unit: Unit,
    /// The drawer it lies in.
    pub drawer: String,
    rank: u8,
    /// How its stock is kept.
    pub keep: Keep,
    /// What there is; `None` where the ledger knows nothing of it.
    pub balance: Option<Balance>,
    /// What the eye saw last.
    pub by_eye: Option<ByEye>,
    /// Kept apart until then.
    pub apart: Option<Date>,
    /// Some of it is a customer's own.
    pub owned: bool,
    /// Proof of origin is asked for and not noted of some lot.
    pub unproved: bool,
    /// The files do not know it.
    pub stranger: bool,
    /// A piece with its share left, by eye.
    pub skin: bool,
    /// Why it is on the buying list.
    pub low: Option<Low>,
    /// How it moves.
    pub pace: Pace,
    /// What was used by month, the latest last; empty until it is read.
    pub used: Vec<Decimal>,
}

impl Item {
    /// Its name, with its size.
    pub fn name(&self) -> String {
        match &self.goods {
            Goods::Hook { chart, size } => format!("{chart}, size {size}"),
            goods => goods.to_string(),
        }
    }

    /// What it is known by from one reading to the next: its goods and its unit.
    pub fn id(&self) -> String {
        format!("{:?} {}", self.goods.sort(), fold(&format!("{} {}", self.goods, self.unit.name())))
    }

    /// What a plan calls it, folded.
    fn needed_as(&self) -> String {
        fold(&self.goods.to_string())
    }

    /// Neither used nor set aside.
    pub fn free(&self) -> Option<Decimal> {
        self.balance.as_ref().map(Balance::free)
    }

    /// Whether it is counted or looked at when the shelf is.
    pub fn counts(&self) -> bool {
        self.keep != Keep::NotAtAll
    }

    /// The material of the files behind it.
    pub fn material<'a>(&self, desk: &'a Desk) -> Option<&'a Material> {
        matches!(self.goods, Goods::Material { .. }).then(|| desk.shelf.materials.get(&self.goods.name().folded()))?
    }

    /// What a weight of it needs to know.
    pub fn facts(&self, desk: &Desk) -> Facts {
        let told = |figure: &Option<crate::diagnostic::Told<f64>>| figure.as_ref().map(|told| told.value);
        let material = self.material(desk);
        // What is flat has another section than its width tells.
        let round = material.filter(|material| material.thick.is_none());
        Facts {
            unit: self.unit,
            tex: material.and_then(|material| told(&material.tex)),
            width: round.and_then(|material| told(&material.width)),
            density: material.and_then(|material| told(&material.density)),
        }
    }
}

/// The unit what is sold in packs is kept in, before the ledger knows it.
fn unit_of(packs: &[Pack]) -> Unit {
    packs.first().map_or(Unit::One, |pack| pack.unit)
}

fn is_skin(material: &Material, unit: Unit) -> bool {
    unit == Unit::Piece && material.packs.iter().any(|pack| !pack.noun.is_empty())
}

const HOOKS: &str = "hooks";
/// The drawer of finished flies.
pub const FLIES: &str = "finished flies";
/// The drawer of parts made beforehand.
pub const MADE: &str = "made parts";
const OTHER: &str = "other materials";
const STRANGERS: &str = "not in the bench's files";

fn drawer(goods: &Goods, desk: &Desk) -> (u8, String) {
    match goods {
        Goods::Hook { .. } => (0, HOOKS.to_owned()),
        Goods::Fly { .. } => (4, FLIES.to_owned()),
        Goods::Material { name, .. } => match desk.shelf.materials.get(&name.folded()) {
            None => (5, STRANGERS.to_owned()),
            Some(_) if desk.makings.contains_key(&name.folded()) => (3, MADE.to_owned()),
            Some(material) => material.kind.as_ref().map_or_else(|| (2, OTHER.to_owned()), |kind| (1, Words::new(&kind.value).to_string())),
        },
    }
}

/// Every line of the shelf: what the ledger knows, and what the files name and was never booked in. By drawer, then name.
pub fn items(desk: &Desk, shelves: &Shelves, used: &HashMap<ThingId, Vec<Decimal>>, needs: &Needs, today: Option<Date>) -> Vec<Item> {
    let balances: HashMap<ThingId, &Balance> = shelves.balances.iter().map(|balance| (balance.thing, balance)).collect();
    let eyes: HashMap<ThingId, ByEye> = shelves.by_eye.iter().map(|seen| (seen.thing, *seen)).collect();
    let mut lots: HashMap<ThingId, Vec<&Brief>> = HashMap::new();
    for lot in &shelves.lots {
        lots.entry(lot.thing).or_default().push(lot);
    }
    let mut known: BTreeMap<(Sort, String), ()> = BTreeMap::new();
    let mut items: Vec<Item> = Vec::new();
    let blank = |goods: Goods, unit: Unit| {
        let (rank, drawer) = drawer(&goods, desk);
        let pace = Pace::Moving;
        let mut item = Item {
            thing: None,
            goods,
            unit,
            drawer,
            rank,
            keep: Keep::Counted,
            balance: None,
            by_eye: None,
            apart: None,
            owned: false,
            unproved: false,
            stranger: false,
            skin: false,
            low: None,
            pace,
            used: Vec::new(),
        };
        let material = item.material(desk);
        let (keep, skin) = (material.map_or(Keep::Counted, |material| material.keep), material.is_some_and(|material| is_skin(material, unit)));
        (item.keep, item.skin) = (keep, skin);
        item
    };
    let year = today.and_then(|day| {
        Some(
            jiff::tz::Offset::UTC
                .to_timestamp(day.checked_sub(jiff::Span::new().try_years(1).ok()?).ok()?.to_datetime(jiff::civil::Time::midnight()))
                .ok()?
                .as_millisecond(),
        )
    });
    for thing in &shelves.things {
        let mut item = blank(thing.goods.clone(), thing.unit);
        item.thing = Some(thing.id);
        // What never moved was never counted either, though a count may know it already.
        item.balance = balances.get(&thing.id).filter(|balance| balance.last_at.is_some()).map(|balance| (*balance).clone());
        item.by_eye = eyes.get(&thing.id).copied();
        item.stranger = stranger(&thing.goods, desk);
        let asks = item.material(desk).is_some_and(|material| material.ask.is_some());
        for lot in lots.get(&thing.id).into_iter().flatten() {
            item.owned |= lot.customer.is_some();
            item.unproved |= asks && !lot.proved;
            item.apart = item.apart.max(lot.apart_until.filter(|until| today.is_none_or(|today| today < *until)));
        }
        item.used = used.get(&thing.id).cloned().unwrap_or_default();
        if let Some(balance) = &item.balance {
            // What came within the year is not standing yet.
            let long = year.is_some_and(|year| balance.last_at.is_some_and(|at| at < year));
            item.pace = match pace(balance.on_hand, &item.used) {
                Pace::Dead if !long => Pace::Moving,
                _ if item.keep != Keep::Counted || used.is_empty() => Pace::Moving,
                pace => pace,
            };
        }
        item.low = reason(&item, desk, needs);
        known.insert((thing.goods.sort(), thing.goods.name().folded()), ());
        items.push(item);
    }
    for (folded, material) in &desk.shelf.materials {
        if known.contains_key(&(Sort::Material, folded.clone())) {
            continue;
        }
        items.push(blank(Goods::material(&material.name.value), unit_of(&material.packs)));
    }
    items.extend(
        hooks_wanted(desk).into_iter().filter(|goods| !shelves.things.iter().any(|thing| same(&thing.goods, goods))).map(|goods| blank(goods, Unit::One)),
    );
    by_drawer(&mut items);
    items
}

/// Puts items in the order of their drawers, and by name within one.
pub fn by_drawer(items: &mut [Item]) {
    items.sort_by(|one, other| (one.rank, &one.drawer).cmp(&(other.rank, &other.drawer)).then_with(|| by_size(one, other)));
}

fn same(one: &Goods, other: &Goods) -> bool {
    one.sort() == other.sort() && one.name().folded() == other.name().folded() && one.size() == other.size()
}

/// By name, hooks of one chart from the largest down.
fn by_size(one: &Item, other: &Item) -> std::cmp::Ordering {
    let size = |item: &Item| item.goods.size().and_then(|size| crate::dressing::Size::read(size.as_str())).map(|size| size.rank(false));
    one.goods.name().folded().cmp(&other.goods.name().folded()).then_with(|| size(one).cmp(&size(other))).then_with(|| one.name().cmp(&other.name()))
}

/// Hooks the bench's orders need: they have a place on the shelf before any was booked in.
fn hooks_wanted(desk: &Desk) -> Vec<Goods> {
    let mut all: Vec<Goods> = Vec::new();
    for line in desk.orders.values().flat_map(|order| &order.lines) {
        let Some(dressing) = desk.dressings.get(&fold(&line.dressing.value)) else { continue };
        let style = line.hook.as_ref().unwrap_or(&dressing.hook);
        let Some(chart) = desk.shelf.charts.get(&fold(&style.value)) else { continue };
        for (size, _) in &line.sizes {
            let goods = Goods::hook(&chart.name.value, size.value.text());
            if !all.contains(&goods) {
                all.push(goods);
            }
        }
    }
    all
}

fn stranger(goods: &Goods, desk: &Desk) -> bool {
    let name = goods.name().folded();
    match goods.sort() {
        Sort::Chart => !desk.shelf.charts.contains_key(&name),
        Sort::Dressing => desk.unread == 0 && !desk.dressings.contains_key(&name),
        _ => !desk.shelf.materials.contains_key(&name),
    }
}

/// What nothing was used of in a year stands; what lasts two years at the year's pace is slow.
fn pace(on_hand: Decimal, used: &[Decimal]) -> Pace {
    const LASTS: u32 = 24;
    let none = [Decimal::ZERO; MONTHS];
    low::pace(on_hand, if used.is_empty() { &none } else { used }, LASTS)
}

fn reason(item: &Item, desk: &Desk, needs: &Needs) -> Option<Low> {
    /// The chance that it lasts until the goods come.
    const SERVICE: f64 = 0.95;
    const DAYS_A_MONTH: f64 = 30.4;
    // Nobody buys seconds, samples or flies, and what is not in the files cannot be bought by them.
    if matches!(item.goods, Goods::Fly { .. }) || item.stranger || item.keep == Keep::NotAtAll || (item.keep == Keep::ByEye && item.by_eye.is_none()) {
        return None;
    }
    let material = item.material(desk);
    let packs = match &item.goods {
        Goods::Hook { chart, .. } => desk.shelf.charts.get(&chart.folded()).map(|chart| &chart.packs),
        _ => material.map(|material| &material.packs),
    };
    let supplier = packs.and_then(|packs| packs.iter().find_map(|pack| desk.shelf.suppliers.get(&fold(&pack.supplier.as_ref()?.value))));
    let lead = supplier.and_then(|supplier| supplier.lead_days?.to_f64()).map(|days| days / DAYS_A_MONTH);
    let needed = needs.get(&item.needed_as()).and_then(|(amount, unit)| unit.convert(*amount, item.unit)).unwrap_or_default();
    let balance = item.balance.as_ref()?;
    low::low(&Asked {
        balance,
        by_eye: item.by_eye.filter(|_| item.keep == Keep::ByEye),
        spare: material.and_then(|material| material.spare.as_ref()).map(|spare| spare.value),
        needed: needed.saturating_sub(balance.set_aside).max(Decimal::ZERO),
        on_order: Decimal::ZERO,
        used: &item.used,
        lead,
        service: SERVICE,
    })
}

/// The beginnings of the last twelve months and the end of this one, ms of UTC.
pub fn months(now: i64) -> Vec<i64> {
    let Ok(at) = jiff::Timestamp::from_millisecond(now) else { return Vec::new() };
    let first = jiff::tz::Offset::UTC.to_datetime(at).date().first_of_month();
    let back = MONTHS as i32 - 1;
    let start = |months: i32| {
        let day = first.checked_add(jiff::Span::new().try_months(months).ok()?).ok()?;
        let at = jiff::tz::Offset::UTC.to_timestamp(day.to_datetime(jiff::civil::Time::midnight())).ok()?;
        Some(at.as_millisecond())
    };
    (-back..=1).filter_map(start).collect()
}

/// The day of a time, by UTC.
pub fn day(at: i64) -> Option<Date> {
    jiff::Timestamp::from_millisecond(at).ok().map(|at| jiff::tz::Offset::UTC.to_datetime(at).date())
}
