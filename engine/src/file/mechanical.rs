//! Reads the insides of motor, park contact and gear, and of what they move.

use super::component::{Inside, Roster, path};
use super::electrical::OHMS;
use super::finding::Code;
use super::kind::KindWord;
use super::section::Section;
use super::value::{Limits, Value};
use crate::machines::{Eccentric, FourBar, HalvedWinding, RingWinding, WoundField};
use crate::quantity::{Angle, EmfConstant, Force, Inertia, Interval, Length, Resistance, Torque};
use crate::vehicle::{
    ArmData, CamData, ComponentId, Emf, Field, Gate, GearData, Kind, LinkageData, MotorData, Path,
    SERIES_FIELD, SHUNT_FIELD, Surface,
};

/// How many coils an armature may have, and has where nothing is said (judgement: small motors have 8 to 22).
const COILS: std::ops::RangeInclusive<i64> = 6..=36;
const COILS_USUAL: u32 = 12;
const LENGTH_M: Limits = Limits::above(0.0, 5.0);
/// Turns of a field's windings, and ampere turns.
const TURNS: Limits = Limits::above(0.0, 1e4);

/// Reads what the mechanical component at `index` is made of.
pub(super) fn inside(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<Inside> {
    match roster.entries[index].kind {
        KindWord::Motor => motor(roster, index, section),
        KindWord::ParkContact => park_contact(roster, section),
        KindWord::Gear => Some(Inside::mechanical(gear(section))),
        KindWord::CrankNut => Some(Inside::mechanical(Kind::CrankNut { slip: None })),
        KindWord::Linkage => linkage(section),
        KindWord::Eccentric => Some(Inside::mechanical(Kind::Eccentric(Eccentric {
            offset: Length::from_metres(section.number("offset_m", Limits::above(0.0, 0.05))),
            stuck: None,
        }))),
        KindWord::ConnectingLink => Some(Inside::mechanical(Kind::ConnectingLink)),
        KindWord::Pivot => Some(Inside::mechanical(Kind::Pivot {
            friction: Torque::from_newton_metres(
                section.number("friction_nm", Limits::from(0.0, 100.0)),
            ),
        })),
        KindWord::Arm => arm(roster, section),
        KindWord::Windscreen => Some(Inside::mechanical(Kind::Windscreen(Surface::AsWeather))),
        KindWord::Hose => Some(Inside::mechanical(Kind::Hose { flow: 1.0 })),
        // Electrical kinds go the other way.
        _ => None,
    }
}

fn motor(roster: &mut Roster<'_>, index: usize, section: &mut Section<'_>) -> Option<Inside> {
    let coils = section
        .may("coils")
        .and_then(|value| value.integer(COILS))
        .and_then(|count| u32::try_from(count).ok());
    let data = MotorData {
        inertia: Inertia::from_kilogram_square_metres(
            section.number("inertia_kgm2", Limits::above(0.0, 1.0)),
        ),
        coulomb: Torque::from_newton_metres(section.number("coulomb_nm", Limits::from(0.0, 10.0))),
        viscous_nms: section.number("viscous_nms", Limits::from(0.0, 1.0)),
        field: Field::Magnets,
        third_brush: None,
        coils: coils.unwrap_or(COILS_USUAL),
        shorted: 0.0,
        shorted_nms: 0.0,
    };
    let emf =
        EmfConstant::from_volt_seconds(section.number("emf_constant_vs", Limits::above(0.0, 10.0)));
    let brush = section.number("brush_ohm", OHMS);
    if section.has("field") {
        return wound_motor(roster, index, section, data, (emf, brush));
    }
    let third_brush =
        Angle::from_degrees(section.number("third_brush_deg", Limits::from(1.0, 179.0)));
    let winding = RingWinding {
        ring: Resistance::from_ohms(section.number("ring_resistance_ohm", OHMS)),
        emf,
        third_brush,
    };
    let limiter = section.number("low_limiter_ohm", Limits::from(0.0, 1e3));
    let paths = windings(roster, index, &winding, brush, limiter)?;
    Some(Inside {
        kind: Kind::Motor(MotorData {
            third_brush: Some(third_brush),
            ..data
        }),
        paths,
    })
}

/// A motor whose flux comes from a series and a shunt field: D2 meets A1 inside, A2 is on the case.
fn wound_motor(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
    data: MotorData,
    (emf, brush): (EmfConstant, f64),
) -> Option<Inside> {
    let winding = HalvedWinding {
        across: Resistance::from_ohms(section.number("armature_ohm", OHMS)),
        emf,
    };
    let mut field = section.section("field")?;
    let wound = WoundField {
        series_turns: field.number("series_turns", TURNS),
        shunt_turns: field.number("shunt_turns", TURNS),
        half: field.number("half_saturated_at", TURNS),
        residual: field.number("residual_at", TURNS),
        lag: Interval::from_seconds(field.number("lag_s", Limits::from(1e-3, 1.0))),
    };
    let series = field.number("series_ohm", OHMS);
    let shunt = field.number("shunt_ohm", OHMS);
    field.close();
    let entry = &roster.entries[index];
    let id = entry.id.clone();
    let ([d1, e1, e2, case, ..], [a1, ..]) = (entry.terminals.as_slice(), entry.inner.as_slice())
    else {
        return None;
    };
    let [d1, e1, e2, case, a1] = [d1, e1, e2, case, a1].map(|terminal| terminal.node);
    let [first, second] =
        ["first-tap", "second-tap"].map(|tap| roster.add_node(format!("{id} {tap}")));
    let mut paths = vec![
        path(SERIES_FIELD, d1, a1, series)?,
        path(SHUNT_FIELD, e1, e2, shunt)?,
        path("a1-brush", a1, first, brush)?,
        path("a2-brush", second, case, brush)?,
    ];
    for (name, arc) in ["arc-near", "arc-far"].into_iter().zip(winding.arcs()) {
        let mut path = path(name, first, second, arc.resistance.ohms())?;
        path.emf = Emf::PerSpeed(arc.emf);
        paths.push(path);
    }
    let kind = Kind::Motor(MotorData {
        field: Field::Wound(wound),
        ..data
    });
    Some(Inside { kind, paths })
}

/// The three brushes, from their terminals to the taps of the ring, and its three arcs.
fn windings(
    roster: &mut Roster<'_>,
    index: usize,
    winding: &RingWinding,
    brush: f64,
    limiter: f64,
) -> Option<Vec<Path>> {
    let entry = &roster.entries[index];
    let id = entry.id.clone();
    // The third is the case, or 31b where the common brush is insulated from it.
    let [t53, t53b, common, ..] = entry.terminals.as_slice() else {
        return None;
    };
    let (t53, t53b, outside) = (t53.node, t53b.node, common.node);
    let [low, high, common] =
        ["low-tap", "high-tap", "common-tap"].map(|tap| roster.add_node(format!("{id} {tap}")));
    let mut paths = vec![
        path("low-brush", t53, low, limiter + brush)?,
        path("high-brush", t53b, high, brush)?,
        path("common-brush", common, outside, brush)?,
    ];
    let taps = [
        ("arc-low-high", low, high),
        ("arc-high-common", high, common),
        ("arc-low-common", low, common),
    ];
    for ((name, p, n), arc) in taps.into_iter().zip(winding.arcs()) {
        let mut path = path(name, p, n, arc.resistance.ohms())?;
        path.emf = Emf::PerSpeed(arc.emf);
        paths.push(path);
    }
    Some(paths)
}

/// The contact that the cam works: [`crate::vehicle::failure`] counts on feed first, ground second. Where nothing
/// is said of a ground it opens the feed and does no more.
fn park_contact(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<Inside> {
    let cam = CamData {
        centre: Angle::from_degrees(section.number("centre_deg", Limits::from(0.0, 360.0))),
        half_width: Angle::from_degrees(section.number("half_width_deg", Limits::above(0.0, 90.0))),
    };
    let ohms = section.number("contact_ohm", OHMS);
    let codes = (Code::UnknownComponent, Code::UnknownTerminal);
    let [common, feed] = ["common", "feed"].map(|key| {
        section
            .need(key)
            .and_then(|value| roster.inner_point(&value, codes))
    });
    let ground = section
        .may("ground")
        .map(|value| roster.inner_point(&value, codes));
    let (home, away) = (Gate::Cam { inside: true }, Gate::Cam { inside: false });
    let mut to_feed = path("feed", feed?, common?, ohms)?;
    to_feed.gate = away;
    let mut paths = vec![to_feed];
    if let Some(ground) = ground {
        let mut to_ground = path("ground", common?, ground?, ohms)?;
        to_ground.gate = home;
        paths.push(to_ground);
    }
    Some(Inside {
        kind: Kind::ParkContact(cam),
        paths,
    })
}

fn gear(section: &mut Section<'_>) -> Kind {
    Kind::Gear(GearData {
        ratio: section.number("ratio", Limits::from(1.0, 1000.0)),
        // A worm above this is not self-locking, and the law of its friction would not hold.
        efficiency: section.number("efficiency", Limits::above(0.0, 0.5)),
        stripped: false,
    })
}

fn linkage(section: &mut Section<'_>) -> Option<Inside> {
    let errors = section.findings.errors();
    let [crank, coupler, rocker, frame] = ["crank_m", "coupler_m", "rocker_m", "frame_m"]
        .map(|key| Length::from_metres(section.number(key, LENGTH_M)));
    let four_bar = FourBar {
        crank,
        coupler,
        rocker,
        frame,
    };
    if section.findings.errors() == errors
        && let Err(error) = four_bar.check()
    {
        section.error(Code::BadLinkage, &format!("cannot work: {error}"), None);
    }
    Some(Inside::mechanical(Kind::Linkage(LinkageData { four_bar })))
}

fn arm(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<Inside> {
    let data = ArmData {
        force: Force::from_newtons(section.number("force_n", Limits::above(0.0, 200.0))),
        radius: Length::from_metres(section.number("radius_m", LENGTH_M)),
        tip: Length::from_metres(section.number("tip_m", LENGTH_M)),
    };
    let pivot = section
        .need("pivot")
        .and_then(|value| pivot(roster, &value));
    let guide = match section.may("guide") {
        Some(value) => Some(self::pivot(roster, &value)?),
        None => None,
    };
    Some(Inside::mechanical(Kind::Arm {
        data,
        pivot: pivot?,
        guide,
    }))
}

fn pivot(roster: &Roster<'_>, value: &Value<'_>) -> Option<ComponentId> {
    let pivot = roster.component(value)?;
    if roster.entries[pivot].kind != KindWord::Pivot {
        value.error(
            Code::WrongKind,
            format_args!("is `{}`, which is no pivot", roster.entries[pivot].id),
            None,
        );
        return None;
    }
    Some(ComponentId(pivot))
}
