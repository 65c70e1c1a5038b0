//! Keys of motor, park contact and gear, and of what they move.

use super::vehicle::COMPONENT;
use super::{
    Holds, JUDGEMENT, Key, Limits, Needed, OHMS, PART_CHARS_MAX, PARTS_MAX, PRACTICE, RULE, Table,
    table,
};

const EMF: Holds = Holds::Number(Limits::above(0.0, 10.0));
const INERTIA: Holds = Holds::Number(Limits::above(0.0, 1.0));
const COULOMB: Holds = Holds::Number(Limits::from(0.0, 10.0));
const VISCOUS: Holds = Holds::Number(Limits::from(0.0, 1.0));
const LENGTH: Holds = Holds::Number(Limits::above(0.0, 5.0));
/// Turns of a field's windings, and ampere turns.
const TURNS: Holds = Holds::Number(Limits::above(0.0, 1e4));
/// How many coils an armature may have (judgement: small motors have 8 to 22).
const COIL_COUNT: Holds = Holds::Whole { least: 6, most: 36 };
const COILS_UNSAID: Needed = Needed::LeftOut("12");
const COILS_SAY: &str = "Coils of the armature, one for each segment of the commutator.";
const EXTRA: Holds = Holds::Names {
    least: 0,
    most: PARTS_MAX,
    chars: PART_CHARS_MAX,
};
const EXTRA_SAY: &str =
    "Terminals besides, such as those of a park contact in the motor's housing.";
const BRUSH_SAY: &str = "Resistance of each brush.";
const INERTIA_SAY: &str = "Inertia of armature and worm.";
const COULOMB_SAY: &str = "Friction of bearings and brushes at the shaft, whatever its speed.";
const VISCOUS_SAY: &str = "Friction at the shaft that grows with its speed.";

table! {
    motor: COMPONENT, {
        name: "motor",
        head: "[motor.ID]",
        says: "A motor with magnets and three brushes on a ring winding: low, high and common. A vehicle has one motor.",
        terminals: "`53`, `53b`, `31` (the case, which is the common brush), or `53`, `53b`, `31b`, `31` where that is \
            insulated from the case; and the extra ones",
        repairs: &["brushes", "replace"],
    }
    INSULATED = "insulated", Holds::Boolean, Needed::LeftOut("`false`"),
        "Whether the common brush is insulated from the case, and has a terminal `31b`.", RULE;
    EXTRA_TERMINALS = "extra_terminals", EXTRA, Needed::LeftOut("none"), EXTRA_SAY, "DIN 72552";
    RING_RESISTANCE_OHM = "ring_resistance_ohm", Holds::Number(OHMS), Needed::Always,
        "Resistance of the ring winding all the way round.", JUDGEMENT;
    EMF_CONSTANT_VS = "emf_constant_vs", EMF, Needed::Always, "EMF between the low and the common brush.", JUDGEMENT;
    THIRD_BRUSH_DEG = "third_brush_deg", Holds::Number(Limits::from(1.0, 179.0)), Needed::Always,
        "Angle of the high brush from the low one: 60 degrees gives a ratio of no-load speeds of 1.5.",
        "uniform field, an assumption";
    LOW_LIMITER_OHM = "low_limiter_ohm", Holds::Number(Limits::from(0.0, 1e3)), Needed::Always,
        "Resistance of a limiter before the low brush; 0 where there is none.", JUDGEMENT;
    BRUSH_OHM = "brush_ohm", Holds::Number(OHMS), Needed::Always, BRUSH_SAY, JUDGEMENT;
    INERTIA_KGM2 = "inertia_kgm2", INERTIA, Needed::Always, INERTIA_SAY, JUDGEMENT;
    COULOMB_NM = "coulomb_nm", COULOMB, Needed::Always, COULOMB_SAY, JUDGEMENT;
    VISCOUS_NMS = "viscous_nms", VISCOUS, Needed::Always, VISCOUS_SAY, JUDGEMENT;
    COILS = "coils", COIL_COUNT, COILS_UNSAID, COILS_SAY, JUDGEMENT;
}

table! {
    wound_motor: COMPONENT, {
        name: "wound-motor",
        head: "[motor.ID] with `field`",
        says: "A motor whose flux comes from a series and a shunt field: D2 meets A1 inside, A2 is on the case. A park \
            contact may hang on A1 too, as `ID a1`.",
        terminals: "`d1`, `e1`, `e2`, `31` (the case) and the extra ones",
        repairs: &["brushes", "replace"],
        marked_by: Some(&FIELD),
    }
    INSULATED = "insulated", Holds::Boolean, Needed::LeftOut("`false`"), "Of no account here: A2 is on the case.", RULE;
    EXTRA_TERMINALS = "extra_terminals", EXTRA, Needed::LeftOut("none"), EXTRA_SAY, "DIN 72552";
    ARMATURE_OHM = "armature_ohm", Holds::Number(OHMS), Needed::Always,
        "Resistance of the armature from brush to brush, without them.", JUDGEMENT;
    EMF_CONSTANT_VS = "emf_constant_vs", EMF, Needed::Always,
        "EMF between the brushes with the field quite saturated.", JUDGEMENT;
    BRUSH_OHM = "brush_ohm", Holds::Number(OHMS), Needed::Always, BRUSH_SAY, JUDGEMENT;
    INERTIA_KGM2 = "inertia_kgm2", INERTIA, Needed::Always, INERTIA_SAY, JUDGEMENT;
    COULOMB_NM = "coulomb_nm", COULOMB, Needed::Always, COULOMB_SAY, JUDGEMENT;
    VISCOUS_NMS = "viscous_nms", VISCOUS, Needed::Always, VISCOUS_SAY, JUDGEMENT;
    COILS = "coils", COIL_COUNT, COILS_UNSAID, COILS_SAY, JUDGEMENT;
    FIELD = "field", Holds::Table(&field::TABLE), Needed::Always, "Its field.", RULE;
}

table! {
    field: Table::PLAIN, {
        name: "field",
        head: "[motor.ID.field]",
        says: "A wound field: flux follows the ampere turns of both windings through a curve that saturates, with a lag.",
    }
    SERIES_TURNS = "series_turns", TURNS, Needed::Always, "Turns of the series winding, D1 to D2.", "IEC 60034-8";
    SERIES_OHM = "series_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of the series winding.", JUDGEMENT;
    SHUNT_TURNS = "shunt_turns", TURNS, Needed::Always, "Turns of the shunt winding, E1 to E2.", "IEC 60034-8";
    SHUNT_OHM = "shunt_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of the shunt winding.", JUDGEMENT;
    HALF_SATURATED_AT = "half_saturated_at", TURNS, Needed::Always,
        "Ampere turns at which the iron carries half of what it can.", "Froelich's curve";
    RESIDUAL_AT = "residual_at", TURNS, Needed::Always, "Ampere turns that stay in the iron.", JUDGEMENT;
    LAG_S = "lag_s", Holds::Number(Limits::from(1e-3, 1.0)), Needed::Always,
        "Time constant with which ampere turns take effect, for solid poles and inductance.", JUDGEMENT;
}

table! {
    park_contact: COMPONENT, {
        name: "park-contact",
        head: "[park-contact.ID]",
        says: "The contact that a cam on the gear's wheel works: outside its window it joins `common` to `feed`, inside \
            it to `ground`.",
        terminals: "none of its own",
        repairs: &["replace"],
    }
    COMMON = "common", Holds::Point, Needed::Always, "The terminal that its moving side hangs on.", RULE;
    FEED = "feed", Holds::Point, Needed::Always, "The terminal that feeds the motor until the blades are home.", RULE;
    GROUND = "ground", Holds::Point, Needed::LeftOut("it opens the feed at home and does no more"),
        "The terminal that brakes the motor at home.", RULE;
    CENTRE_DEG = "centre_deg", Holds::Number(Limits::from(0.0, 360.0)), Needed::Always,
        "Middle of the window: the crank's angle from the line crank centre to pivot.", JUDGEMENT;
    HALF_WIDTH_DEG = "half_width_deg", Holds::Number(Limits::above(0.0, 90.0)), Needed::Always, "Half of the window.",
        JUDGEMENT;
    CONTACT_OHM = "contact_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of either side while it is closed.",
        JUDGEMENT;
}

table! {
    gear: COMPONENT, {
        name: "gear",
        head: "[gear.ID]",
        says: "The worm and its wheel.",
        terminals: "none",
        repairs: &["replace"],
    }
    RATIO = "ratio", Holds::Number(Limits::from(1.0, 1000.0)), Needed::Always,
        "Turns of the shaft for one turn of the wheel.", JUDGEMENT;
    EFFICIENCY = "efficiency", Holds::Number(Limits::above(0.0, 0.5)), Needed::Always,
        "Efficiency with the worm driving; above a half it would not be self-locking.", "[Shigley 2011]";
}

table! {
    crank_nut: COMPONENT, {
        name: "crank-nut",
        head: "[crank-nut.ID]",
        says: "The nut that holds the crank on the wheel's shaft.",
        terminals: "none",
        repairs: &["tighten"],
    }
}

table! {
    linkage: COMPONENT, {
        name: "linkage",
        head: "[linkage.ID]",
        says: "Crank, drive link and rocker, a four-bar linkage: the crank must turn all the way round, with the angle \
            between link and rocker over 20 degrees.",
        terminals: "none",
        repairs: &["replace"],
    }
    CRANK_M = "crank_m", LENGTH, Needed::Always, "Throw of the crank.", "[Freudenstein 1955]";
    COUPLER_M = "coupler_m", LENGTH, Needed::Always, "Length of the drive link.", "[Freudenstein 1955]";
    ROCKER_M = "rocker_m", LENGTH, Needed::Always, "Length of the rocker.", "[Freudenstein 1955]";
    FRAME_M = "frame_m", LENGTH, Needed::Always, "Distance from the crank's centre to the pivot.", "[Freudenstein 1955]";
}

table! {
    eccentric: COMPONENT, {
        name: "eccentric",
        head: "[eccentric.ID]",
        says: "The eccentric in the crank of a motor that reverses to park: its throw grows while the motor runs home \
            backwards, so that the blades rest below the wipe.",
        terminals: "none",
        repairs: &["free", "replace"],
    }
    OFFSET_M = "offset_m", Holds::Number(Limits::above(0.0, 0.05)), Needed::Always,
        "Its offset: half of what it adds to the throw when it is right out.", PRACTICE;
}

table! {
    connecting_link: COMPONENT, {
        name: "connecting-link",
        head: "[connecting-link.ID]",
        says: "The link that ties the second pivot to the first.",
        terminals: "none",
        repairs: &["replace"],
    }
}

table! {
    pivot: COMPONENT, {
        name: "pivot",
        head: "[pivot.ID]",
        says: "A pivot's shaft in its bushing, with an arm on it.",
        terminals: "none",
        repairs: &["free", "replace"],
    }
    FRICTION_NM = "friction_nm", Holds::Number(Limits::from(0.0, 100.0)), Needed::Always, "Friction of its bushing.",
        JUDGEMENT;
}

table! {
    arm: COMPONENT, {
        name: "arm",
        head: "[arm.ID]",
        says: "An arm with its blade.",
        terminals: "none",
        repairs: &["explain", "replace"],
    }
    PIVOT = "pivot", Holds::Component(Some("pivot")), Needed::Always, "The pivot it sits on.", RULE;
    GUIDE = "guide", Holds::Component(Some("pivot")), Needed::Where("a second pivot guides it"),
        "A second pivot beside it that keeps the blade upright.", RULE;
    FORCE_N = "force_n", Holds::Number(Limits::above(0.0, 200.0)), Needed::Always, "Force of its blade on the glass.",
        JUDGEMENT;
    RADIUS_M = "radius_m", LENGTH, Needed::Always, "Distance from the pivot to the middle of the blade.", JUDGEMENT;
    TIP_M = "tip_m", LENGTH, Needed::Always, "Distance from the pivot to the tip of the blade.", JUDGEMENT;
}

table! {
    windscreen: COMPONENT, {
        name: "windscreen",
        head: "[windscreen.ID]",
        says: "The windscreen that the blades wipe. A vehicle has one at most.",
        terminals: "none",
        repairs: &["explain", "clear"],
    }
}

table! {
    hose: COMPONENT, {
        name: "hose",
        head: "[hose.ID]",
        says: "The hose from a washer's pump to its jets.",
        terminals: "none",
        repairs: &["mend"],
    }
}
