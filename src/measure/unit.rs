//! Units as one table: name, spellings, dimension, factor to the dimension's base.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A plain number or ratio.
    Number,
    /// Length, base mm.
    Length,
    /// Area, base mm².
    Area,
    /// Volume, base mm³.
    Volume,
    /// Mass, base g.
    Mass,
    /// Density, base g/cm³.
    Density,
    /// Time, base s.
    Time,
    /// Linear density of a thread, base tex (g per 1,000 m).
    LinearDensity,
    /// Angle, base degree.
    Angle,
    /// Feathers.
    Feathers,
    /// Single fibres.
    Fibres,
    /// Drops of varnish.
    Drops,
    /// A piece as sold: a cape, a patch, a tail, a quill.
    Pieces,
    /// Money, base the currency's major unit.
    Money,
    /// Money an hour.
    MoneyAnHour,
}

macro_rules! units {
    ($($(#[$doc:meta])* $variant:ident, $dimension:ident, $factor:expr, $name:literal, [$($spelling:literal),*];)*) => {
        /// A unit of measure.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Unit { $($(#[$doc])* $variant,)* }

        impl Unit {
            /// Every unit.
            pub const ALL: &'static [Unit] = &[$(Unit::$variant,)*];

            /// The name shown and written in JSON.
            pub fn name(self) -> &'static str {
                match self { $(Unit::$variant => $name,)* }
            }

            /// What it measures.
            pub fn dimension(self) -> Dimension {
                match self { $(Unit::$variant => Dimension::$dimension,)* }
            }

            /// How many of the dimension's base unit one of it is.
            pub fn factor(self) -> f64 {
                match self { $(Unit::$variant => $factor,)* }
            }

            /// The spellings a dresser may write.
            pub fn spellings(self) -> &'static [&'static str] {
                match self { $(Unit::$variant => &[$($spelling),*],)* }
            }
        }
    };
}

units! {
    /// A plain number.
    One, Number, 1.0, "", [];
    /// Millimetre.
    Mm, Length, 1.0, "mm", ["mm", "millimetre", "millimetres"];
    /// Centimetre.
    Cm, Length, 10.0, "cm", ["cm", "centimetre", "centimetres"];
    /// Metre.
    M, Length, 1000.0, "m", ["m", "metre", "metres"];
    /// Inch: 25.4 mm exactly since 1959.
    Inch, Length, 25.4, "in", ["in", "inch", "inches", "\""];
    /// Foot: 12 in.
    Foot, Length, 304.8, "ft", ["ft", "foot", "feet"];
    /// Yard: 0.9144 m exactly since 1959.
    Yard, Length, 914.4, "yd", ["yd", "yds", "yard", "yards"];
    /// Square millimetre.
    Mm2, Area, 1.0, "mm2", ["mm2", "mm²", "sq mm"];
    /// Square centimetre.
    Cm2, Area, 100.0, "cm2", ["cm2", "cm²", "sq cm"];
    /// Cubic millimetre.
    Mm3, Volume, 1.0, "mm3", ["mm3", "mm³"];
    /// Millilitre.
    Ml, Volume, 1000.0, "ml", ["ml", "millilitre", "millilitres"];
    /// Litre.
    Litre, Volume, 1_000_000.0, "l", ["l", "litre", "litres"];
    /// Gram.
    G, Mass, 1.0, "g", ["g", "gram", "grams", "gramme", "grammes"];
    /// Milligram.
    Mg, Mass, 0.001, "mg", ["mg"];
    /// Kilogram.
    Kg, Mass, 1000.0, "kg", ["kg"];
    /// Ounce avoirdupois: 28.349523125 g exactly since 1959.
    Ounce, Mass, 28.349_523_125, "oz", ["oz", "ounce", "ounces"];
    /// Gram a cubic centimetre.
    GPerCm3, Density, 1.0, "g/cm3", ["g/cm3", "g/cm³", "g/cc"];
    /// Second.
    S, Time, 1.0, "s", ["s", "sec", "secs", "second", "seconds"];
    /// Minute.
    Minute, Time, 60.0, "min", ["min", "mins", "minute", "minutes"];
    /// Hour.
    Hour, Time, 3600.0, "h", ["h", "hour", "hours", "hr", "hrs"];
    /// Day of 24 hours.
    Day, Time, 86_400.0, "days", ["day", "days"];
    /// Tex: grams per 1,000 m (ISO 1144).
    Tex, LinearDensity, 1.0, "tex", ["tex"];
    /// Decitex: a tenth of a tex.
    Dtex, LinearDensity, 0.1, "dtex", ["dtex"];
    /// Denier: grams per 9,000 m.
    Denier, LinearDensity, 1.0 / 9.0, "denier", ["denier", "den"];
    /// Degree of angle.
    Degree, Angle, 1.0, "deg", ["deg", "degree", "degrees", "°"];
    /// Feather.
    Feather, Feathers, 1.0, "feathers", ["feather", "feathers"];
    /// Fibre.
    Fibre, Fibres, 1.0, "fibres", ["fibre", "fibres", "fiber", "fibers", "hair", "hairs"];
    /// Drop.
    Drop, Drops, 1.0, "drops", ["drop", "drops"];
    /// Piece as sold.
    Piece, Pieces, 1.0, "pieces", ["piece", "pieces"];
    /// Money in the bench's currency.
    Money, Money, 1.0, "money", [];
    /// Money an hour in the bench's currency.
    MoneyAnHour, MoneyAnHour, 1.0, "money an hour", [];
}

impl Unit {
    /// The unit a dresser's word means.
    pub fn read(word: &str) -> Option<Unit> {
        Unit::ALL.iter().copied().find(|unit| unit.spellings().contains(&word))
    }

    /// Turns a figure of this unit into one of `other`, in decimals, so that 100 yd is 91.44 m and no less;
    /// `None` when they do not measure the same or the figure is too large.
    pub fn convert(self, figure: Decimal, other: Unit) -> Option<Decimal> {
        if self.dimension() != other.dimension() {
            return None;
        }
        if self == other {
            return Some(figure);
        }
        figure.checked_mul(self.exact()?)?.checked_div(other.exact()?)
    }

    /// The factor as the decimal it is written as (the table's own digits, not the binary figure's).
    fn exact(self) -> Option<Decimal> {
        if self == Unit::Denier { Decimal::ONE.checked_div(Decimal::from(9)) } else { self.factor().to_string().parse().ok() }
    }
}

impl Serialize for Unit {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for Unit {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let name = std::borrow::Cow::<str>::deserialize(deserializer)?;
        Unit::ALL.iter().copied().find(|unit| unit.name() == name).ok_or_else(|| serde::de::Error::custom(format_args!("\"{name}\" is no unit")))
    }
}
