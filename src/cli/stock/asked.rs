//! What a command of the stores is asked about: goods by their names in the files, amounts with their units, money, days.

use super::{Fault, Shop};
use crate::bench::packs::noun_unit;
use crate::cli::asked::{quoted, value};
use crate::diagnostic::{did_you_mean, near_or_all};
use crate::dressing::{Material, Size};
use crate::ledger::Ledger;
use crate::measure::words::fold;
use crate::measure::{Fraction, Quantity, Unit, Words};
use crate::stores::{Goods, LotId, Price, Quality, Sort, Thing, counting};
use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// What is meant.
#[derive(Clone, Debug, clap::Args)]
pub struct What {
    /// A material, a hook chart or a dressing, by its name in the bench's files
    #[arg(value_name = "NAME")]
    pub name: String,
    /// Which of that name.
    #[command(flatten)]
    pub which: Which,
}

/// Which of that name.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Which {
    /// Its size: of a bead, a hook, a fly
    #[arg(long, value_name = "SIZE", value_parser = value)]
    pub size: Option<String>,
    /// Fibre length of plucked and sized hackle: the drawer it lies in
    #[arg(long, value_name = "LENGTH")]
    pub fibre: Option<String>,
    /// The variant, of finished flies
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
    /// The revision, of finished flies; the dressing's present one where left out
    #[arg(long, value_name = "N")]
    pub revision: Option<u32>,
    /// Of finished flies: good, second or sample; good where left out
    #[arg(long, value_name = "QUALITY", value_parser = ["good", "second", "sample"])]
    pub quality: Option<String>,
}

/// How much, in which unit; `None` where no unit stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Amount {
    /// How much.
    pub figure: Decimal,
    /// The unit told.
    pub unit: Option<Unit>,
}

/// Where the unit begins in an amount: behind the last figure or bracket. The `x` between two figures is no unit.
fn unit_at(text: &str) -> usize {
    for (at, sign) in text.char_indices() {
        let rest = text.get(at + sign.len_utf8()..).unwrap_or_default().trim_start();
        if sign.is_alphabetic() && !(matches!(sign, 'x' | 'X') && rest.starts_with(|c: char| c.is_ascii_digit() || c == '(')) {
            return at;
        }
    }
    text.len()
}

/// Reads an amount: `25`, `10 m`, `1/2 cape`, `3*25 + 7`.
pub(super) fn amount(text: &str) -> Result<Amount, Fault> {
    let right = "an amount such as `25`, `10 m`, `1/2 cape` or `3*25 + 7`";
    let (figure, word) = text.split_at_checked(unit_at(text)).unwrap_or((text, ""));
    let refuse = |what: String| Fault::new(what, right);
    if figure.trim().is_empty() {
        return Err(refuse(format!("{} does not begin with a figure", quoted(text))));
    }
    let word = word.trim();
    let unit = match word {
        "" => None,
        word => {
            Some(Unit::read(word).or_else(|| noun_unit(word)).ok_or_else(|| refuse(format!("{}: {} is not a unit known here", quoted(text), quoted(word))))?)
        }
    };
    let figure = counting::read(figure).map_err(|why| refuse(format!("{}: {why}", quoted(text))))?;
    Ok(Amount { figure, unit })
}

/// An amount that is more than nothing.
pub(super) fn some_amount(text: &str) -> Result<Amount, Fault> {
    let read = amount(text)?;
    if read.figure.is_zero() {
        return Err(Fault::new(format!("{} is nothing", quoted(text)), "an amount over 0"));
    }
    Ok(read)
}

pub(super) fn day(option: &str, text: &str) -> Result<Date, Fault> {
    text.trim().parse().map_err(|_| Fault::new(format!("{option} {} is no day", quoted(text)), "a day such as 2026-11-20"))
}

pub(super) fn words(text: Option<&String>) -> Option<Words> {
    text.map(|text| Words::new(text.trim())).filter(|words| !words.as_str().is_empty())
}

impl Shop {
    /// A sum of the bench's money.
    pub(super) fn price(&self, text: &str) -> Result<Price, Fault> {
        let currency = &self.opened.bench.shelf.terms.currency;
        if currency.code() == "XXX" {
            return Err(Fault::new("this bench has no currency, so a price means nothing", "`currency: GBP` or another in bench.yaml"));
        }
        let amount = Fraction::parse(text).filter(|sum| !sum.is_negative()).and_then(Fraction::to_decimal);
        let price = amount.and_then(|amount| Price::of(amount, currency.clone()));
        price.ok_or_else(|| {
            let right = format!("what the whole lot cost in {}, such as {}", currency.code(), currency.text(Decimal::new(240, 2)));
            Fault::new(format!("--price {} is no sum of money", quoted(text)), right)
        })
    }

    pub(super) fn material(&self, goods: &Goods) -> Option<&Material> {
        matches!(goods, Goods::Material { .. }).then(|| self.opened.bench.shelf.materials.get(&goods.name().folded()))?
    }

    /// The goods meant: by the files' names, else by a name only the ledger knows.
    pub(super) fn goods(&self, what: &What, ledger: Option<&Ledger>) -> Result<Goods, Fault> {
        let (bench, key) = (&self.opened.bench, fold(&what.name));
        if let Some(material) = bench.shelf.materials.get(&key) {
            return self.of_sort(Sort::Material, &material.name.value, &what.which);
        }
        if let Some(chart) = bench.shelf.charts.get(&key) {
            return self.of_sort(Sort::Chart, &chart.name.value, &what.which);
        }
        if let Some(dressing) = bench.dressings.get(&key) {
            return self.of_sort(Sort::Dressing, &dressing.name.value, &what.which);
        }
        for sort in [Sort::Material, Sort::Chart, Sort::Dressing] {
            let known = ledger.map_or(Ok(Vec::new()), |ledger| ledger.known_names(sort))?;
            if let Some(name) = known.iter().find(|name| name.folded() == key) {
                return self.of_sort(sort, name.as_str(), &what.which);
            }
        }
        let charts = bench.shelf.charts.values().map(|chart| chart.name.value.as_str());
        let dressings = bench.dressings.values().map(|dressing| dressing.name.value.as_str());
        let all: Vec<&str> = bench.shelf.materials.values().map(|material| material.name.value.as_str()).chain(charts).chain(dressings).collect();
        let right = did_you_mean(&what.name, all).unwrap_or_else(|| "a name from materials.yaml, hooks.yaml or dressings/; write it there first".to_owned());
        Err(Fault::new(format!("{} is neither a material nor a hook chart nor a dressing of this bench", quoted(&what.name)), right))
    }

    fn of_sort(&self, sort: Sort, name: &str, which: &Which) -> Result<Goods, Fault> {
        let hook_size = || match &which.size {
            None => Err(Fault::new(format!("of which size is \"{}\" meant?", Words::new(name)), "`--size 14`, or another")),
            Some(text) => match Size::read(text) {
                Some(size) => Ok(Words::new(size.text())),
                None => Err(Fault::new(format!("--size {} is not a hook size", quoted(text)), "a size such as 14, 1/0 or `2 in`")),
            },
        };
        let fly_only = [("--variant", which.variant.is_some()), ("--revision", which.revision.is_some()), ("--quality", which.quality.is_some())];
        if let Some((option, _)) = fly_only.iter().find(|(_, given)| *given && sort != Sort::Dressing) {
            return Err(Fault::new(format!("{option} is for finished flies, and \"{}\" is a {}", Words::new(name), sort.name()), "leave it out"));
        }
        if which.fibre.is_some() && sort != Sort::Material {
            return Err(Fault::new(format!("--fibre is for materials, and \"{}\" is a {}", Words::new(name), sort.name()), "leave it out"));
        }
        Ok(match sort {
            Sort::Chart => Goods::Hook { chart: Words::new(name), size: hook_size()? },
            Sort::Dressing => {
                let dressing = self.opened.bench.dressings.get(&fold(name));
                let variant = match (&which.variant, dressing) {
                    (Some(asked), Some(dressing)) => match dressing.variants.get(&fold(asked)) {
                        Some(variant) => Some(Words::new(&variant.name.value)),
                        None => {
                            let known = dressing.variants.values().map(|variant| variant.name.value.as_str());
                            let right = near_or_all(asked, known, "leave it out: it has no variants");
                            return Err(Fault::new(format!("\"{}\" has no variant {}", Words::new(name), quoted(asked)), right));
                        }
                    },
                    (asked, _) => words(asked.as_ref()),
                };
                let quality = which.quality.as_ref().and_then(|word| Quality::ALL.into_iter().find(|quality| quality.name() == word));
                let revision = which.revision.or_else(|| dressing.map(|dressing| dressing.revision)).unwrap_or(1);
                Goods::Fly { dressing: Words::new(name), revision, size: hook_size()?, variant, quality: quality.unwrap_or(Quality::Good) }
            }
            _ => {
                let size = which.size.as_ref().map(|text| Size::read(text).map_or_else(|| Words::new(text.trim()), |size| Words::new(size.text())));
                if size.as_ref().is_some_and(|size| size.as_str().is_empty()) {
                    return Err(Fault::new("--size is empty", "a size such as 14, or leave it out"));
                }
                Goods::Material { name: Words::new(name), size, fibre_um: which.fibre.as_ref().map(|text| micrometres(text)).transpose()? }
            }
        })
    }

    /// The thing these goods are in the unit told; there has to be one.
    pub(super) fn thing(&self, ledger: &Ledger, goods: &Goods, told: Option<Unit>) -> Result<Thing, Fault> {
        let things = ledger.things_of(goods)?;
        if things.is_empty() {
            let others = ledger.things_named(goods.sort(), goods.name())?;
            let right = match others.iter().map(Thing::to_string).collect::<Vec<_>>().join("; ") {
                none if none.is_empty() => "book it in first: `herl stock receive`".to_owned(),
                some => format!("what is kept of that name: {some}"),
            };
            return Err(Fault::new(format!("nothing of {goods} was ever booked in"), right));
        }
        let kept = || things.iter().map(|thing| unit_name(thing.unit)).collect::<Vec<_>>().join(" and in ");
        match told {
            None => match things.as_slice() {
                [only] => Ok(only.clone()),
                _ => Err(Fault::new(format!("{goods} is kept in {}; which is meant?", kept()), "the amount with its unit")),
            },
            Some(unit) => things
                .iter()
                .find(|thing| thing.unit == unit)
                .or_else(|| things.iter().find(|thing| thing.unit.dimension() == unit.dimension()))
                .cloned()
                .ok_or_else(|| Fault::new(format!("{goods} is kept in {}, which {} does not measure", kept(), unit_name(unit)), "an amount in that unit")),
        }
    }

    /// An amount in the thing's unit; a bare figure is of that unit.
    pub(super) fn in_unit(&self, amount: Amount, thing: &Thing) -> Result<Decimal, Fault> {
        let unit = amount.unit.unwrap_or(thing.unit);
        let figure = unit.convert(amount.figure, thing.unit).map(|figure| figure.normalize());
        figure.ok_or_else(|| {
            Fault::new(format!("{} is kept in {}, which {} does not measure", thing.goods, unit_name(thing.unit), unit_name(unit)), "an amount in that unit")
        })
    }

    /// An amount with its unit, as the bench writes numbers.
    pub(super) fn shown(&self, quantity: Decimal, unit: Unit, goods: &Goods) -> String {
        let quantity = quantity.normalize();
        let word = match unit {
            // A piece goes by the noun of its pack: a cape, a patch.
            Unit::Piece => {
                let noun = self.material(goods).and_then(|material| material.packs.iter().find(|pack| pack.unit == Unit::Piece && !pack.noun.is_empty()));
                let noun = noun.map_or("piece", |pack| pack.noun.as_str());
                if quantity <= Decimal::ONE { noun.to_owned() } else { plural(noun) }
            }
            unit => unit.name().to_owned(),
        };
        let figure = self.text(&quantity.to_string());
        if word.is_empty() { figure } else { format!("{figure} {word}") }
    }
}

fn plural(noun: &str) -> String {
    if noun.ends_with(['s', 'x']) || noun.ends_with("ch") { format!("{noun}es") } else { format!("{noun}s") }
}

pub(super) fn unit_name(unit: Unit) -> &'static str {
    if unit == Unit::One { "plain numbers" } else { unit.name() }
}

fn micrometres(text: &str) -> Result<u32, Fault> {
    let refuse = || Fault::new(format!("--fibre {} is no length of a fibre", quoted(text)), "a length such as `6.4 mm`");
    let quantity = Quantity::read(text).map_err(|_| refuse())?;
    let mm = if quantity.unit == Unit::One { None } else { quantity.decimal_in(Unit::Mm) }.ok_or_else(refuse)?;
    let um = mm.checked_mul(Decimal::ONE_THOUSAND).filter(Decimal::is_integer).and_then(|um| um.to_u32());
    um.filter(|um| (1..=1_000_000).contains(um)).ok_or_else(refuse)
}

/// A lot by its number.
pub(super) fn lot(number: Option<i64>) -> Option<LotId> {
    number.map(LotId)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn amounts_come_with_units_fractions_and_sums() {
        for (text, figure, unit) in [
            ("25", "25", None),
            ("10 m", "10", Some(Unit::M)),
            ("10m", "10", Some(Unit::M)),
            ("1/2 cape", "0.5", Some(Unit::Piece)),
            ("2 capes", "2", Some(Unit::Piece)),
            ("3*25 + 7", "82", None),
            ("3x25+7 feathers", "82", Some(Unit::Feather)),
            ("(2 + 1/2) g", "2.5", Some(Unit::G)),
            ("12 hooks", "12", Some(Unit::One)),
        ] {
            assert_eq!(amount(text).unwrap(), Amount { figure: figure.parse().unwrap(), unit }, "{text}");
        }
        for (text, said) in [
            ("ten", "does not begin with a figure"),
            ("3*", "ends too soon"),
            ("10 ells", "not a unit"),
            ("1,5 m", "comma"),
            ("1/3 m", "six decimals"),
            ("-5", ""),
        ] {
            let told = amount(text).unwrap_err();
            assert!(told.what.contains(said) && told.right.is_some(), "{text}: {told:?}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_panic(text in "\\PC{0,20}") {
            let _ = (amount(&text), micrometres(&text), day("--on", &text));
        }
    }
}
