//! Keys of a vehicle file besides those of single kinds of component: header, layout, charges, book, and what all
//! components have in common.

use super::super::kind::KindWord;

use super::{Holds, JUDGEMENT, Key, Limits, Naming, Needed, RULE, Table, Tables, table};
use crate::vehicle::{EXPLAIN, Exposure, Region};

/// Regions that a component can belong to.
pub(in crate::file) const REGIONS: [Region; 5] = [
    Region::Supply,
    Region::Switch,
    Region::Wiring,
    Region::Motor,
    Region::Linkage,
];

/// Their words.
pub(super) const REGION_WORDS: [&str; 5] = [
    REGIONS[0].word(),
    REGIONS[1].word(),
    REGIONS[2].word(),
    REGIONS[3].word(),
    REGIONS[4].word(),
];

/// The ways of putting things right that the engine knows.
pub(in crate::file) const REPAIRS: [&str; 8] = [
    "replace", "mend", "brushes", "free", "tighten", "charge", "clear", EXPLAIN,
];

const EXPOSURES: [&str; 3] = [
    Exposure::ALL[0].word(),
    Exposure::ALL[1].word(),
    Exposure::ALL[2].word(),
];

/// Most repairs of a component.
const REPAIRS_MAX: usize = 20;
/// Dearest part, units of account.
const PRICE_MAX: i64 = 1_000_000;
/// Most places and most covers.
const PLACES_MAX: usize = 50;
/// Most entries of the book.
const BOOK_MAX: usize = 100;
/// Oldest vehicle, years.
const AGE_MAX: i64 = 100;

/// A component, before what is its kind's own.
pub(super) const COMPONENT: Table = Table {
    common: common::TABLE.keys,
    ..Table::PLAIN
};

table! {
    common: Table::PLAIN, {
        name: "component",
        head: "[KIND.ID]",
        says: "What a table of any kind of component may hold besides the keys of its kind.",
    }
    TITLE = "title", Holds::Line, Needed::LeftOut("its id, with blanks for hyphens"),
        "What it is called on screen.", RULE;
    PLACE = "place", Holds::Place, Needed::Always, "Where a person stands to work on it.", RULE;
    COVER = "cover", Holds::Cover, Needed::LeftOut("it lies open"), "What must come off before it is reached.", RULE;
    PART_OF = "part_of", Holds::Component(None), Needed::LeftOut("it is a part by itself"),
        "The component it is built into, replaced along with it.", RULE;
    REGION = "region", Holds::OneOf(&REGION_WORDS), Needed::LeftOut("that of its kind"),
        "Region of a verdict that it belongs to.", RULE;
    WAYS = "repairs",
        Holds::Tables(Tables { of: &[&repair::TABLE], named: Naming::OneOf(&REPAIRS), least: 0, most: REPAIRS_MAX }),
        Needed::LeftOut("none, where nothing of it can fail"),
        "Ways to put it right; every one that cures what can fail of it must be there. `explain` (no fault found, explained \
            to the customer) is the proper cure of what is no fault, and changes nothing of the vehicle.", RULE;
    CRUST = "crust", Holds::Number(Limits::from(0.0, 1.0)), Needed::LeftOut("0"),
        "Green crust that is there and harmless, seen on battery, connectors, straps and ground points: 0 is none, 1 what \
            nobody overlooks.", JUDGEMENT;
    EXPOSURE = "exposure", Holds::OneOf(&EXPOSURES), Needed::LeftOut("`covered`"),
        "What its place does to it: what corrodes or wears fails 2.5 times as often in the `wet` as under cover, `inside` \
            half as often.", JUDGEMENT;
    WORKED_ON = "worked_on", Holds::Boolean, Needed::LeftOut("`false`"),
        "Whether somebody has worked on it before, so that it has 5 times its like's share of what earlier repairs leave \
            wrong.", JUDGEMENT;
}

table! {
    repair: Table::PLAIN, {
        name: "repair",
        head: "[KIND.ID.repairs.NAME]",
        says: "A way to put a component right.",
    }
    MINUTES = "minutes", Holds::Minutes { least: 0.0 }, Needed::Always,
        "Labour of a practised person, once the component is reached.", JUDGEMENT;
    PRICE = "price", Holds::Whole { least: 0, most: PRICE_MAX }, Needed::Always,
        "Price of parts, which the scenario's `shop_rate` turns into minutes.", JUDGEMENT;
}

table! {
    header: Table::PLAIN, {
        name: "vehicle",
        head: "[vehicle]",
        says: "Which vehicle it is.",
    }
    ID = "id", Holds::Name, Needed::Always, "Its name, by which scenarios call it.", RULE;
    TITLE = "title", Holds::Line, Needed::Always, "What it is called on screen.", RULE;
    AGE_YEARS = "age_years", Holds::Whole { least: 0, most: AGE_MAX }, Needed::Always,
        "Its age, which says how likely each group of faults is: to 2 years, 7, 15, and beyond.", JUDGEMENT;
    AMBIENT_DEGC = "ambient_degc", Holds::Number(Limits::from(-60.0, 80.0)), Needed::Always,
        "Temperature of the air, and so of its copper, which has 0.393 % more resistance for each kelvin.", "[NBS 1966]";
}

table! {
    place: Table::PLAIN, {
        name: "place",
        head: "[place.ID]",
        says: "Somewhere a person can stand or sit. An attempt begins at the first in the file, where the controls are.",
    }
    TITLE = "title", Holds::Line, Needed::LeftOut("its id, with blanks for hyphens"), "What it is called on screen.", RULE;
}

table! {
    cover: Table::PLAIN, {
        name: "cover",
        head: "[cover.ID]",
        says: "Something that must come off before what is behind it can be reached, and goes back before the vehicle leaves.",
    }
    TITLE = "title", Holds::Line, Needed::LeftOut("its id, with blanks for hyphens"), "What it is called on screen.", RULE;
    PLACE = "place", Holds::Place, Needed::Always, "Where one must be to take it off.", RULE;
    OFF_MIN = "off_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Taking it off.", JUDGEMENT;
    ON_MIN = "on_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Putting it back.", JUDGEMENT;
    TAKES_ARMS = "takes_arms", Holds::Boolean, Needed::LeftOut("`false`"),
        "Whether the wiper arms come off with it: motor and pivots run without them, and nothing drags over the glass.",
        RULE;
}

// What is watched takes at least as long as it is watched for.
table! {
    charges: Table::PLAIN, {
        name: "charges",
        head: "[charges]",
        says: "What each kind of work costs one practised person once the place is reached.",
    }
    WALK_MIN = "walk_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Going from one place to another.", JUDGEMENT;
    CONTROL_MIN = "control_min", Holds::Minutes { least: 0.1 }, Needed::Always, "Working a control.", JUDGEMENT;
    HELPER_MIN = "helper_min", Holds::Minutes { least: 0.1 }, Needed::Always,
        "Having a helper work a control meanwhile.", JUDGEMENT;
    SENSE_MIN = "sense_min", Holds::Minutes { least: 0.17 }, Needed::Always,
        "Looking, listening, feeling, tugging, wiggling, asking the driver, reading the dash ammeter.", JUDGEMENT;
    COUNT_MIN = "count_min", Holds::Minutes { least: 1.0 }, Needed::Always,
        "Counting wipes for a minute, or holding an arm against the motor.", JUDGEMENT;
    WET_GLASS_MIN = "wet_glass_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Wetting the glass from the can.",
        JUDGEMENT;
    METER_OUT_MIN = "meter_out_min", Holds::Minutes { least: 0.0 }, Needed::Always,
        "Getting out the case with meter, clamps, lamps and leads, once.", JUDGEMENT;
    READING_MIN = "reading_min", Holds::Minutes { least: 0.07 }, Needed::Always,
        "A reading at a point, or clipping an instrument on.", JUDGEMENT;
    PLUG_MIN = "plug_min", Holds::Minutes { least: 0.0 }, Needed::Always,
        "Unplugging or plugging a connector, new fuses in the meter and the leads, trying a nut that nobody undid.", JUDGEMENT;
    ARM_MIN = "arm_min", Holds::Minutes { least: 0.17 }, Needed::Always, "Moving an arm by hand, or helping it along.", JUDGEMENT;
    NUT_OFF_MIN = "nut_off_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Undoing the crank nut.", JUDGEMENT;
    NUT_ON_MIN = "nut_on_min", Holds::Minutes { least: 0.0 }, Needed::Always, "Fitting a crank nut that was undone.",
        JUDGEMENT;
    JUMPER_MIN = "jumper_min", Holds::Minutes { least: 0.17 }, Needed::Always, "Putting on one jumper lead.", JUDGEMENT;
    BATTERY_TEST_MIN = "battery_test_min", Holds::Minutes { least: 1.0 }, Needed::Always,
        "Testing the battery at rest and under load.", JUDGEMENT;
}

table! {
    book: Table::PLAIN, {
        name: "book",
        head: "[[book]]",
        says: "A page of the workshop's book: what the engine cannot compute.",
    }
    TOPIC = "topic", Holds::Line, Needed::Always, "Its heading.", RULE;
    TEXT = "text", Holds::Text, Needed::Always, "Its text.", RULE;
}

table! {
    vehicle_file: Table::PLAIN, {
        name: "vehicle-file",
        head: "a vehicle file",
        says: "A vehicle: its header, where things are, what work costs, and one table for each component.",
    }
    FORMAT = "format", Holds::Format, Needed::Always, "Version of these files.", RULE;
    VEHICLE = "vehicle", Holds::Table(&header::TABLE), Needed::Always, "The header.", RULE;
    PLACES = "place",
        Holds::Tables(Tables { of: &[&place::TABLE], named: Naming::Any, least: 1, most: PLACES_MAX }),
        Needed::Always, "Places by id.", RULE;
    COVERS = "cover",
        Holds::Tables(Tables { of: &[&cover::TABLE], named: Naming::Any, least: 0, most: PLACES_MAX }),
        Needed::LeftOut("none"), "Covers by id.", RULE;
    CHARGES = "charges", Holds::Table(&charges::TABLE), Needed::Always, "What work costs.", RULE;
    BOOK = "book", Holds::Repeated { of: &book::TABLE, most: BOOK_MAX }, Needed::LeftOut("an empty book"),
        "Pages of the workshop's book.", RULE;
}

/// A key for the tables of each kind of component, in the order of [`KindWord::ALL`].
pub(in crate::file) static KINDS: [Key; KindWord::ALL.len()] = {
    let mut keys = [const { tables_of(KindWord::Battery) }; KindWord::ALL.len()];
    let mut at = 0;
    while at < keys.len() {
        keys[at] = tables_of(KindWord::ALL[at]);
        at += 1;
    }
    keys
};

const fn tables_of(kind: KindWord) -> Key {
    let (least, most) = kind.how_many();
    let needed = if least > 0 {
        Needed::Always
    } else {
        Needed::LeftOut("none")
    };
    Key {
        name: kind.word(),
        holds: Holds::Tables(Tables {
            of: kind.tables(),
            named: Naming::Any,
            least,
            most,
        }),
        needed,
        says: kind.tables()[0].says,
        source: RULE,
    }
}

/// The whole of a vehicle file.
pub(in crate::file) static VEHICLE_FILE: Table = Table {
    keys: &VEHICLE_KEYS,
    ..vehicle_file::TABLE
};

const OWN: usize = 6;

static VEHICLE_KEYS: [&Key; OWN + KindWord::ALL.len()] = {
    let mut keys = [&vehicle_file::VEHICLE; OWN + KindWord::ALL.len()];
    let mut at = 0;
    while at < keys.len() {
        keys[at] = if at < OWN {
            vehicle_file::TABLE.keys[at]
        } else {
            &KINDS[at - OWN]
        };
        at += 1;
    }
    keys
};
