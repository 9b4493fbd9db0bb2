//! The small forms of the stores: received, taken out, made, thrown out, put right, taken back. What is typed stays until
//! the ledger has it, also where it is refused.

use super::shelf::{Detail, Item, day};
use super::words::{number, on_hand, quantity};
use crate::dressing::{Keep, Making};
use crate::ledger::{Correction, Make, Out, Receipt, To};
use crate::measure::words::fold;
use crate::measure::{Unit, Words};
use crate::stores::typed::{self, Facts};
use crate::stores::{Goods, LotId, LotSays, Movement, MovementId, Price, ThingId};
use crate::tui::Desk;
use crate::tui::ink::{fit, put, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::queue::ShelfDeed;
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::frame;
use crate::why::cross;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;

/// What a form is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum For {
    /// Goods come in.
    Receive,
    /// Goods are used up beside the runs.
    TakeOut,
    /// Goods are spoilt or thrown out.
    ThrowOut,
    /// Parts are made beforehand.
    Make,
    /// The figure is put right.
    PutRight,
    /// A movement is taken back.
    Undo(MovementId, String),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Asks {
    Amount,
    Spoilt,
    Price,
    Supplier,
    DyeLot,
    Proof,
    Apart,
    Whose,
    Lot,
    Reason,
}

#[derive(Clone, Debug)]
struct Field {
    asks: Asks,
    name: &'static str,
    hint: String,
    text: String,
}

/// A form over the screen.
#[derive(Clone, Debug)]
pub(super) struct Form {
    what: For,
    item: Item,
    facts: Facts,
    fields: Vec<Field>,
    /// The lots to choose from: what they are called, and which; the first is no lot in particular.
    lots: Vec<(String, Option<LotId>)>,
    lot: usize,
    at: usize,
    said: Option<String>,
    /// What a made part takes, each with its number in the stores.
    makings: Vec<(String, Option<ThingId>, Decimal, Unit, Unit)>,
    /// It is asked of the ledger and not answered yet.
    pub(super) sent: bool,
}

/// No text in a form is longer.
const LONGEST: usize = 120;

impl Form {
    /// A form for an item. `items`: the whole shelf, where makings are looked for.
    pub(super) fn new(what: For, item: &Item, detail: Option<&Detail>, items: &[Item], desk: &Desk) -> Result<Form, String> {
        let by_eye = item.keep == Keep::ByEye;
        let unit = item.unit.name();
        let kept = if unit.is_empty() { "a number or a sum".to_owned() } else { format!("in {unit}; a sum will do") };
        let field = |asks, name, hint: &str| Field { asks, name, hint: hint.to_owned(), text: String::new() };
        let making = desk.makings.get(&item.goods.name().folded());
        let needs_thing = !matches!(what, For::Receive | For::Make);
        if needs_thing && item.thing.is_none() {
            return Err(format!("nothing of {} was ever booked in: receive it, or count it first", item.name()));
        }
        if item.keep == Keep::NotAtAll && what == For::Receive {
            return Err(format!("no stock is kept of {} (`keep: not at all` in its file)", item.name()));
        }
        let mut fields = Vec::new();
        match &what {
            For::Receive => {
                let hint = if by_eye { "a number of packs".to_owned() } else { packs_hint(item, desk).unwrap_or(kept) };
                fields.push(field(Asks::Amount, if by_eye { "full packs" } else { "how much" }, &hint));
                fields.push(field(Asks::Price, "price of all of it", "in the bench's currency; may stay empty"));
                fields.push(field(Asks::Supplier, "from", "the supplier; may stay empty"));
                if matches!(item.goods, Goods::Material { .. }) {
                    fields.push(field(Asks::DyeLot, "dye lot", "the dyer's number; may stay empty"));
                }
                if let Some(ask) = item.material(desk).and_then(|material| material.ask.as_ref()) {
                    fields.push(field(Asks::Proof, "proof of origin", &format!("asked for: {}; its reference", Words::new(&ask.value))));
                }
                if item.skin {
                    fields.push(field(Asks::Apart, "keep apart until", "a new skin may carry moth: a day such as 2026-12-10"));
                }
                fields.push(field(Asks::Whose, "whose", "a customer's own goods: the name; else empty"));
                fields.push(field(Asks::Reason, "remark", "may stay empty"));
            }
            For::TakeOut | For::ThrowOut => {
                fields.push(field(Asks::Amount, "how much", &kept));
                fields.push(field(Asks::Lot, "of which lot", ""));
                fields.push(field(Asks::Reason, if what == For::ThrowOut { "why" } else { "for what" }, "may stay empty"));
            }
            For::Make => {
                if making.is_none() {
                    return Err(format!("{} is not made here: `made-from:` with its material would say of what", item.name()));
                }
                fields.push(field(Asks::Amount, "how many good ones", &kept));
                fields.push(field(Asks::Spoilt, "spoilt in the making", "0 where empty"));
                fields.push(field(Asks::Reason, "remark", "may stay empty"));
            }
            For::PutRight if by_eye => {
                fields.push(field(Asks::Amount, "there are", "full packs and the one in use: 2h (f full, h half, n nearly done, - none)"))
            }
            For::PutRight => {
                fields.push(field(Asks::Amount, "there really is", &kept));
                fields.push(field(Asks::Lot, "of which lot", ""));
                fields.push(field(Asks::Reason, "why", "a word on why is needed"));
            }
            For::Undo(..) => fields.push(field(Asks::Reason, "why", "may stay empty")),
        }
        let mut lots = vec![(if what == For::PutRight { "no lot (loose goods)" } else { "whichever fits best" }.to_owned(), None)];
        for lot in detail.filter(|detail| Some(detail.thing) == item.thing).into_iter().flat_map(|detail| &detail.lots).filter(|lot| !lot.closed) {
            let whose = lot.customer.as_ref().map(|by| format!(", {by}'s own")).unwrap_or_default();
            lots.push((format!("lot {}: {}{whose}", lot.id, quantity(lot.holds, item.unit)), Some(lot.id)));
        }
        // What is put right lies in a lot wherever there is but one.
        let lot = usize::from(what == For::PutRight && lots.len() > 1);
        let makings = making.map(|making| makings(making, items, desk)).unwrap_or_default();
        let facts = item.facts(desk);
        Ok(Form { what, item: item.clone(), facts, fields, lots, lot, at: 0, said: None, makings, sent: false })
    }

    fn asks(&self) -> Option<Asks> {
        self.fields.get(self.at).map(|field| field.asks)
    }

    /// Types into the field chosen.
    pub(super) fn type_in(&mut self, text: &str) {
        self.said = None;
        if self.asks() == Some(Asks::Lot) {
            return;
        }
        if let Some(field) = self.fields.get_mut(self.at) {
            let room = LONGEST.saturating_sub(field.text.chars().count());
            field.text.extend(Words::new(text).as_str().chars().take(room));
        }
    }

    /// Does what a key asks; gives what is to be booked.
    pub(super) fn go(&mut self, deed: Deed, desk: &Desk, now: i64, detail: Option<&Detail>) -> Option<ShelfDeed> {
        let last = self.fields.len().saturating_sub(1);
        match deed {
            Deed::Up => self.at = self.at.saturating_sub(1),
            Deed::Down => self.at = (self.at + 1).min(last),
            Deed::Left => self.turn(self.lots.len().saturating_sub(1)),
            Deed::Right => self.turn(1),
            Deed::Rub => {
                self.said = None;
                if let Some(field) = self.fields.get_mut(self.at) {
                    field.text.pop();
                }
            }
            Deed::Take if !self.sent => match self.meant(desk, now, detail) {
                Ok(deed) => {
                    self.sent = true;
                    return Some(deed);
                }
                Err((asks, what)) => {
                    self.at = self.fields.iter().position(|field| field.asks == asks).unwrap_or(self.at);
                    self.said = Some(what);
                }
            },
            _ => {}
        }
        None
    }

    fn turn(&mut self, by: usize) {
        if self.asks() == Some(Asks::Lot) {
            self.lot = (self.lot + by) % self.lots.len().max(1);
        }
    }

    fn text(&self, asks: Asks) -> &str {
        self.fields.iter().find(|field| field.asks == asks).map_or("", |field| field.text.trim())
    }

    fn words(&self, asks: Asks) -> Option<Words> {
        let text = self.text(asks);
        (!text.is_empty()).then(|| Words::new(text))
    }

    fn amount(&self, asks: Asks) -> Result<Decimal, (Asks, String)> {
        let typed = typed::line(self.text(asks), self.facts).map_err(|why| (asks, why.to_string()))?;
        Ok(typed.quantity)
    }

    fn lot(&self) -> Option<LotId> {
        self.lots.get(self.lot).and_then(|(_, lot)| *lot)
    }

    /// What the form says, or what is wrong with which field.
    fn meant(&self, desk: &Desk, now: i64, detail: Option<&Detail>) -> Result<ShelfDeed, (Asks, String)> {
        let thing = || self.item.thing.ok_or((Asks::Amount, "it is not known in the stores yet: receive it first".to_owned()));
        let more = |quantity: Decimal| {
            if quantity > Decimal::ZERO { Ok(quantity) } else { Err((Asks::Amount, "more than 0 would be right".to_owned())) }
        };
        let reason = self.words(Asks::Reason);
        Ok(match &self.what {
            For::Receive => ShelfDeed::Receive(self.receipt(desk, now)?),
            For::TakeOut | For::ThrowOut => {
                let lot = self.lot();
                let owner = detail.into_iter().flat_map(|detail| &detail.lots).find(|one| Some(one.id) == lot).and_then(|one| one.customer.clone());
                let out = Out { lot, reason, customer: owner, ..Out::of(thing()?, more(self.amount(Asks::Amount)?)?) };
                if self.what == For::TakeOut { ShelfDeed::UseUp(out) } else { ShelfDeed::Waste(out) }
            }
            For::Make => {
                let good = more(self.amount(Asks::Amount)?)?;
                let lost = if self.text(Asks::Spoilt).is_empty() { Decimal::ZERO } else { self.amount(Asks::Spoilt)? };
                let mut makings = Vec::new();
                for (name, thing, each, told, kept) in &self.makings {
                    let Some(thing) = thing else {
                        return Err((Asks::Amount, format!("of {name}, which goes into it, nothing was ever booked in: receive it, or count it first")));
                    };
                    let quantity = each.checked_mul(good.saturating_add(lost)).and_then(|all| told.convert(all, *kept)).map(|all| all.round_dp(6));
                    let quantity = quantity.ok_or_else(|| (Asks::Amount, format!("{name} is not kept in what `made-from:` measures it in")))?;
                    makings.push(Out::of(*thing, quantity));
                }
                let to = To::NewLot(LotSays { received: day(now), ..LotSays::default() });
                let made = Receipt { to, reason, ..Receipt::of(self.item.goods.clone(), good, self.item.unit) };
                ShelfDeed::Make(Make { makings, made, lost })
            }
            For::PutRight if self.item.keep == Keep::ByEye => {
                let (full, in_use) = typed::eye(self.text(Asks::Amount), self.item.by_eye).map_err(|why| (Asks::Amount, why.to_string()))?;
                ShelfDeed::Looked(thing()?, full, in_use)
            }
            For::PutRight => {
                let found = self.amount(Asks::Amount)?;
                let lot = self.lot();
                let lots = detail.map(|detail| detail.lots.as_slice()).unwrap_or_default();
                let holds = match lot {
                    Some(id) => lots.iter().find(|one| one.id == id).map(|one| one.holds),
                    None => self.item.balance.as_ref().map(|balance| balance.loose),
                };
                let by = found - holds.unwrap_or_default();
                if by.is_zero() {
                    return Err((Asks::Amount, "that is what the stores have: nothing to put right".to_owned()));
                }
                let reason = reason.ok_or((Asks::Reason, "a word on why is needed: the figure is changed without anything having moved".to_owned()))?;
                ShelfDeed::Correct(Correction { thing: thing()?, lot, by, reason })
            }
            For::Undo(movement, _) => ShelfDeed::Undo(*movement, reason),
        })
    }

    fn receipt(&self, desk: &Desk, now: i64) -> Result<Receipt, (Asks, String)> {
        let by_eye = self.item.keep == Keep::ByEye;
        let amount = if by_eye {
            typed::eye(self.text(Asks::Amount), None)
                .map(|(full, _)| Decimal::from(full))
                .map_err(|_| (Asks::Amount, "how many full packs? A number would be right".to_owned()))?
        } else {
            self.amount(Asks::Amount)?
        };
        if amount <= Decimal::ZERO {
            return Err((Asks::Amount, "more than 0 would be right".to_owned()));
        }
        let price = match self.text(Asks::Price) {
            "" => None,
            text => {
                let sum = crate::stores::counting::read(text).map_err(|why| (Asks::Price, why.to_string()))?;
                let price = Price::of(sum, desk.shelf.terms.currency.clone());
                Some(price.ok_or_else(|| (Asks::Price, format!("{text} has more figures than the currency; 12.40 would be right")))?)
            }
        };
        let apart_until = match self.text(Asks::Apart) {
            "" => None,
            text => Some(text.parse().map_err(|_| (Asks::Apart, format!("\"{text}\" is no day; 2026-12-10 would be right")))?),
        };
        let customer = self.words(Asks::Whose);
        if customer.is_some() && price.is_some() {
            return Err((Asks::Price, "a customer's own goods cost nothing here: leave the price empty".to_owned()));
        }
        let says = LotSays {
            supplier: self.words(Asks::Supplier),
            received: day(now),
            price,
            dye_lot: self.words(Asks::DyeLot),
            swatch: false,
            proof: self.words(Asks::Proof),
            apart_until,
            note: None,
        };
        let packs = if by_eye { amount.try_into().ok() } else { None };
        // A pack's worth is booked too, so that what was bought can be told in the unit as well.
        let holds = self.item.material(desk).and_then(|material| material.packs.first()).and_then(|pack| pack.unit.convert(pack.holds, self.item.unit));
        let quantity = if by_eye { amount.saturating_mul(holds.unwrap_or(Decimal::ONE)) } else { amount };
        Ok(Receipt {
            to: To::NewLot(says),
            customer,
            packs,
            reason: self.words(Asks::Reason),
            ..Receipt::of(self.item.goods.clone(), quantity, self.item.unit)
        })
    }

    fn title(&self) -> String {
        let name = self.item.name();
        match &self.what {
            For::Receive => format!("Received: {name}"),
            For::TakeOut => format!("Taken out: {name}"),
            For::ThrowOut => format!("Thrown out: {name}"),
            For::Make => format!("Made: {name}"),
            For::PutRight => format!("Put right: {name}"),
            For::Undo(..) => format!("Take back: {name}"),
        }
    }

    /// Paints the form over the foot of the screen.
    pub(super) fn draw(&self, buf: &mut Buffer, screen: Rect, paint: Paint<'_>) {
        let styles = paint.styles;
        let inner = usize::from(screen.width.saturating_sub(4));
        let mut foot: Vec<(String, ratatui::style::Style)> = Vec::new();
        match &self.what {
            For::Undo(_, told) => foot.push((format!("{told} A reversing entry is added; nothing is deleted."), styles.plain)),
            For::Make => {
                let of: Vec<String> = self.makings.iter().map(|(name, _, each, unit, _)| format!("{} of {name}", quantity(*each, *unit))).collect();
                foot.push((format!("Each takes {}; that goes out with it, for the spoilt ones too.", of.join(", ")), styles.quiet));
            }
            _ => foot.push((format!("In the stores: {}.", on_hand(&self.item)), styles.quiet)),
        }
        let key = |deed, wish| paint.look.keys.key(deed, Place::StoresForm, wish).unwrap_or_default();
        foot.push(match &self.said {
            Some(said) => (said.clone(), styles.fault),
            None => {
                let (take, back) = (key(Deed::Take, Key::Enter), key(Deed::Back, Key::Escape));
                (format!("{take}: book it. {back}: leave it; nothing is booked."), styles.title)
            }
        });
        let foot: Vec<(String, ratatui::style::Style)> =
            foot.into_iter().flat_map(|(text, style)| wrap(&text, inner).into_iter().map(move |line| (line, style))).collect();
        let within = frame(buf, screen, &self.title(), self.fields.len() + foot.len() + 2, paint);
        let room = usize::from(within.height).saturating_sub(foot.len() + 2).max(1);
        let first = crate::tui::ink::first_shown(self.at, self.fields.len(), room);
        const NAME: u16 = 21;
        for (nth, field) in self.fields.iter().enumerate().skip(first).take(room) {
            let line = row(within, (nth - first) as u16);
            let chosen = nth == self.at;
            put(buf, line, line.x, line.y, &fit(field.name, usize::from(NAME), paint.glyphs.cut), if chosen { styles.title } else { styles.plain });
            let x = line.x + NAME.min(line.width);
            let lot = self.lots.get(self.lot).map_or("", |(name, _)| name.as_str());
            let text = if field.asks == Asks::Lot { lot } else { &field.text };
            let room = usize::from(line.right().saturating_sub(x));
            if chosen {
                let end = if field.asks == Asks::Lot { "" } else { "_" };
                let shown = width(text).saturating_sub(room.saturating_sub(4));
                let text: String = text.chars().skip(shown).collect();
                let after = put(buf, line, x, line.y, &format!("{}{text}{end}{}", paint.glyphs.open, paint.glyphs.close), styles.chosen);
                let hint = if field.asks == Asks::Lot { "left and right: another" } else { &field.hint };
                put(buf, line, after + 1, line.y, &fit(hint, usize::from(line.right().saturating_sub(after + 1)), paint.glyphs.cut), styles.quiet);
            } else {
                put(buf, line, x + 1, line.y, &fit(text, room.saturating_sub(1), paint.glyphs.cut), styles.plain);
            }
        }
        let rows = self.fields.len().min(room) as u16 + 1;
        for (nth, (text, style)) in foot.iter().enumerate() {
            let line = row(within, rows + nth as u16);
            put(buf, line, line.x, line.y, text, *style);
        }
    }
}

fn packs_hint(item: &Item, desk: &Desk) -> Option<String> {
    let packs = match &item.goods {
        Goods::Hook { chart, .. } => &desk.shelf.charts.get(&chart.folded())?.packs,
        _ => &item.material(desk)?.packs,
    };
    let pack = packs.first()?;
    let holds = pack.unit.convert(pack.holds, item.unit)?;
    let unit = item.unit.name();
    Some(format!("{}2*{} for two packs", if unit.is_empty() { String::new() } else { format!("in {unit}; ") }, number(holds)))
}

fn makings(making: &Making, items: &[Item], desk: &Desk) -> Vec<(String, Option<ThingId>, Decimal, Unit, Unit)> {
    let one = |(name, amount): &(crate::diagnostic::Told<String>, crate::diagnostic::Told<crate::measure::Quantity>)| {
        let of: Vec<&Item> =
            items.iter().filter(|item| matches!(&item.goods, Goods::Material { .. }) && item.goods.name().folded() == fold(&name.value)).collect();
        let told = amount.value.unit;
        let fitting =
            of.iter().find(|item| item.thing.is_some() && item.unit.dimension() == told.dimension()).or_else(|| of.iter().find(|item| item.thing.is_some()));
        let kept = fitting.map_or(told, |item| item.unit);
        let figure = amount.value.figure.to_decimal().unwrap_or_default();
        // A plain number is of fibres where the material says how many one piece gives, else of what it is kept in.
        let fibres = desk.shelf.materials.get(&fold(&name.value)).and_then(|material| cross(material.fibres.as_ref()?.value));
        let each = fibres.filter(|_| matches!(told, Unit::One | Unit::Fibre) && kept == Unit::Piece).and_then(|fibres| figure.checked_div(fibres));
        let told = if told == Unit::One || each.is_some() { kept } else { told };
        (Words::new(&name.value).to_string(), fitting.and_then(|item| item.thing), each.unwrap_or(figure), told, kept)
    };
    making.from.iter().map(one).collect()
}

/// What a movement was, in words, for taking it back.
pub(super) fn movement_in_words(movement: &Movement, unit: Unit) -> String {
    let sign = if movement.quantity > Decimal::ZERO { "+" } else { "" };
    format!("{} {sign}{}, all that was booked with it.", movement.kind.name(), quantity(movement.quantity, unit))
}
