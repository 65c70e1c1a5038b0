//! Every key of vehicle and scenario files, declared once: what it holds within which limits, whether it may be left out,
//! what it means and where that is from.
//!
//! Readers take keys and their limits from here, [`schema`] prints them for editors, and [`guide`] for authors: so that
//! none of the three can say what the others do not.

mod electrical;
mod guide;
mod mechanical;
mod scenario;
mod schema;
mod switching;
mod unit;
mod vehicle;

pub(super) use super::place::FileKind;
pub(super) use electrical::*;
pub use guide::guide;
pub(super) use mechanical::*;
pub(super) use scenario::*;
pub use schema::schema;
pub(super) use switching::*;
pub(super) use vehicle::*;

use std::fmt;

impl FileKind {
    /// The table that is the whole file.
    pub(super) fn table(self) -> &'static Table {
        match self {
            Self::Vehicle => &VEHICLE_FILE,
            Self::Scenario => &scenario_file::TABLE,
        }
    }
}

/// Longest name, characters, as [`crate::ident::Name`] has it.
pub(super) const NAME_CHARS_MAX: usize = 40;

/// Longest name of a terminal, pin or contact: failure modes put up to 16 characters behind it, and a
/// name has at most 40.
pub(super) const PART_CHARS_MAX: usize = 20;

/// Longest name of a pin: two of them stand in the name of a failure mode.
pub(super) const PIN_CHARS_MAX: usize = 15;

/// Most terminals, pins or contacts of a component.
pub(super) const PARTS_MAX: usize = 60;

/// Longest text that stands on one line: a title.
pub(super) const LINE_CHARS_MAX: usize = 100;

/// Longest charge, minutes. Chosen: two working days and some.
pub(super) const MINUTES_MAX: f64 = 1000.0;

/// Letter codes of colours, in the order in which IEC 60757 joins them.
pub(super) const COLOURS: [&str; 14] = [
    "BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR",
];

/// Any resistance in a vehicle, ohms; what is higher is an open.
const OHMS: Limits = Limits::from(1e-6, 1e6);
/// Any voltage that a vehicle's parts are made for.
const VOLTS: Limits = Limits::above(0.0, 60.0);

/// Sources that are none: what people in the trade do and would expect.
const PRACTICE: &str = "common practice";
/// Nothing published: somebody's sense of it.
const JUDGEMENT: &str = "judgement";
/// A rule of these files, which nothing outside them bears out.
const RULE: &str = "rule of these files";

/// A key of a table.
#[derive(Debug)]
pub(super) struct Key {
    pub(super) name: &'static str,
    pub(super) holds: Holds,
    pub(super) needed: Needed,
    /// What it means, in one line.
    pub(super) says: &'static str,
    /// Where that and its limits are from.
    pub(super) source: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Needed {
    /// It must.
    Always,
    /// It may be left out; what holds then.
    LeftOut(&'static str),
    /// It stands only where this is so, and must then.
    Where(&'static str),
}

/// What a key's value is.
#[derive(Debug)]
pub(super) enum Holds {
    /// The version of the files.
    Format,
    /// A number.
    Number(Limits),
    /// A whole number.
    Whole { least: i64, most: i64 },
    /// Minutes to the hundredth, at most [`MINUTES_MAX`].
    Minutes { least: f64 },
    /// `true` or `false`.
    Boolean,
    /// A text on one line.
    Line,
    /// A text that may have several lines.
    Text,
    /// A name.
    Name,
    /// A colour by its letter codes.
    Colour,
    /// One of some words.
    OneOf(&'static [&'static str]),
    /// A name that the component itself has given; what it is of.
    Own(&'static str),
    /// A terminal of a component: `battery pos`.
    Point,
    /// What a fault pool selects by.
    Selector,
    /// A component's id; of which kind where that matters.
    Component(Option<&'static str>),
    /// A place's id.
    Place,
    /// A cover's id.
    Cover,
    /// A list of different names that are given here.
    Names {
        least: usize,
        most: usize,
        chars: usize,
    },
    /// A list.
    List {
        of: &'static Holds,
        least: usize,
        most: usize,
    },
    /// A table.
    Table(&'static Table),
    /// Named tables.
    Tables(Tables),
    /// Tables one after the other.
    Repeated { of: &'static Table, most: usize },
}

/// A table of named tables.
#[derive(Debug)]
pub(super) struct Tables {
    /// What each is; where there are several, the first that is marked by a key it has, else the last.
    pub(super) of: &'static [&'static Table],
    pub(super) named: Naming,
    pub(super) least: usize,
    pub(super) most: usize,
}

/// How tables are named.
#[derive(Debug)]
pub(super) enum Naming {
    /// By any name.
    Any,
    /// By a name that leaves room for the failure modes made of it.
    Part,
    /// By one of some words.
    OneOf(&'static [&'static str]),
}

/// A table of a file.
#[derive(Debug)]
pub(super) struct Table {
    /// What it is called in a schema, among all tables.
    pub(super) name: &'static str,
    /// How it is headed in a file.
    pub(super) head: &'static str,
    /// What it is, in plain words.
    pub(super) says: &'static str,
    /// The terminals that a component of this kind has, in plain words.
    pub(super) terminals: &'static str,
    /// The repairs that cure what can fail of a component of this kind.
    pub(super) repairs: &'static [&'static str],
    pub(super) keys: &'static [&'static Key],
    /// Keys that it has in common with others. One of its own stands in place of a common one of that name.
    pub(super) common: &'static [&'static Key],
    /// The key by which it is known from others that may stand in its place.
    pub(super) marked_by: Option<&'static Key>,
    /// How many of its keys must be there, whichever.
    pub(super) least: usize,
}

impl Table {
    /// One that is no component's.
    const PLAIN: Self = Self {
        name: "",
        head: "",
        says: "",
        terminals: "",
        repairs: &[],
        keys: &[],
        common: &[],
        marked_by: None,
        least: 0,
    };

    /// All keys: its own, and those in common.
    pub(super) fn all(&self) -> impl Iterator<Item = &'static Key> + Clone + '_ {
        let common = self.common.iter().copied();
        let own = self.keys.iter().copied();
        own.chain(common.filter(|key| self.keys.iter().all(|own| own.name != key.name)))
    }

    /// The key with this name.
    pub(super) fn key(&self, name: &str) -> Option<&'static Key> {
        self.all().find(|key| key.name == name)
    }
}

/// Every table of a file, each before those within it and only once.
pub(super) fn tables(root: &'static Table) -> Vec<&'static Table> {
    let mut found: Vec<&'static Table> = Vec::new();
    let mut waiting = vec![root];
    while let Some(table) = waiting.pop() {
        if found.iter().any(|known| std::ptr::eq(*known, table)) {
            continue;
        }
        found.push(table);
        let within: Vec<_> = table.all().flat_map(|key| key.holds.tables()).collect();
        waiting.extend(within.into_iter().rev());
    }
    found
}

impl Holds {
    /// The tables that stand under a key.
    fn tables(&self) -> Vec<&'static Table> {
        match self {
            Self::Table(of) | Self::Repeated { of, .. } => vec![of],
            Self::Tables(Tables { of, .. }) => of.to_vec(),
            _ => Vec::new(),
        }
    }
}

/// Declares a table with its keys: a module with a static for each key, and `TABLE`.
macro_rules! table {
    (
        $table:ident: $base:expr, { $($field:ident: $value:expr),* $(,)? }
        $($key:ident = $name:expr, $holds:expr, $needed:expr, $says:expr, $source:expr;)*
    ) => {
        pub(in crate::file) mod $table {
            #[allow(unused_imports, reason = "a table of no keys names nothing")]
            use super::*;

            $(pub(in crate::file) static $key: Key = Key {
                name: $name,
                holds: $holds,
                needed: $needed,
                says: $says,
                source: $source,
            };)*

            pub(in crate::file) static TABLE: Table = Table {
                keys: &[$(&$key),*],
                $($field: $value,)*
                ..$base
            };
        }
    };
}
use table;

/// Limits of a number.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    min: f64,
    min_excluded: bool,
    max: f64,
}

impl Limits {
    /// Above `min` and at most `max`.
    pub(super) const fn above(min: f64, max: f64) -> Self {
        Self {
            min,
            min_excluded: true,
            max,
        }
    }

    /// From `min` to `max`.
    pub(super) const fn from(min: f64, max: f64) -> Self {
        Self {
            min,
            min_excluded: false,
            max,
        }
    }

    pub(super) fn hold(self, value: f64) -> bool {
        value <= self.max
            && if self.min_excluded {
                value > self.min
            } else {
                value >= self.min
            }
    }

    /// A number within the limits, to go on with after a finding.
    pub(super) const fn stand_in(self) -> f64 {
        self.max
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (min, max) = (figure(self.min), figure(self.max));
        if self.min_excluded {
            write!(out, "above {min} and at most {max}")
        } else {
            write!(out, "from {min} to {max}")
        }
    }
}

/// A number as an author would write it.
pub(super) fn figure(value: f64) -> String {
    let size = value.abs();
    if size > 0.0 && !(1e-3..1e5).contains(&size) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}
