//! Reads the insides of motor, park contact and gear, and of what they move.

use super::component::{Inside, Roster, path};
use super::finding::Code;
use super::keys;
use super::kind::KindWord;
use super::section::Section;
use super::value::Value;
use crate::machines::{Eccentric, FourBar, HalvedWinding, RingWinding, WoundField};
use crate::quantity::{Angle, EmfConstant, Force, Inertia, Interval, Length, Resistance, Torque};
use crate::vehicle::{
    ArmData, CamData, ComponentId, Emf, Field, Gate, GearData, Kind, LinkageData, MotorData, Path,
    SERIES_FIELD, SHUNT_FIELD, Surface,
};

/// How many coils an armature has where nothing is said (judgement: small motors have 8 to 22).
const COILS_USUAL: u32 = 12;

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
            offset: Length::from_metres(section.number(&keys::eccentric::OFFSET_M)),
            stuck: None,
        }))),
        KindWord::ConnectingLink => Some(Inside::mechanical(Kind::ConnectingLink)),
        KindWord::Pivot => Some(Inside::mechanical(Kind::Pivot {
            friction: Torque::from_newton_metres(section.number(&keys::pivot::FRICTION_NM)),
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
        .may(&keys::motor::COILS)
        .and_then(|value| value.count());
    let data = MotorData {
        inertia: Inertia::from_kilogram_square_metres(section.number(&keys::motor::INERTIA_KGM2)),
        coulomb: Torque::from_newton_metres(section.number(&keys::motor::COULOMB_NM)),
        viscous_nms: section.number(&keys::motor::VISCOUS_NMS),
        field: Field::Magnets,
        third_brush: None,
        coils: coils.unwrap_or(COILS_USUAL),
        shorted: 0.0,
        shorted_nms: 0.0,
    };
    let emf = EmfConstant::from_volt_seconds(section.number(&keys::motor::EMF_CONSTANT_VS));
    let brush = section.number(&keys::motor::BRUSH_OHM);
    if section.has(&keys::wound_motor::FIELD) {
        return wound_motor(roster, index, section, data, (emf, brush));
    }
    let third_brush = Angle::from_degrees(section.number(&keys::motor::THIRD_BRUSH_DEG));
    let winding = RingWinding {
        ring: Resistance::from_ohms(section.number(&keys::motor::RING_RESISTANCE_OHM)),
        emf,
        third_brush,
    };
    let limiter = section.number(&keys::motor::LOW_LIMITER_OHM);
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
        across: Resistance::from_ohms(section.number(&keys::wound_motor::ARMATURE_OHM)),
        emf,
    };
    let mut field = section.section(&keys::wound_motor::FIELD)?;
    let wound = WoundField {
        series_turns: field.number(&keys::field::SERIES_TURNS),
        shunt_turns: field.number(&keys::field::SHUNT_TURNS),
        half: field.number(&keys::field::HALF_SATURATED_AT),
        residual: field.number(&keys::field::RESIDUAL_AT),
        lag: Interval::from_seconds(field.number(&keys::field::LAG_S)),
    };
    let series = field.number(&keys::field::SERIES_OHM);
    let shunt = field.number(&keys::field::SHUNT_OHM);
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
        centre: Angle::from_degrees(section.number(&keys::park_contact::CENTRE_DEG)),
        half_width: Angle::from_degrees(section.number(&keys::park_contact::HALF_WIDTH_DEG)),
    };
    let ohms = section.number(&keys::park_contact::CONTACT_OHM);
    let codes = (Code::UnknownComponent, Code::UnknownTerminal);
    let [common, feed] = [&keys::park_contact::COMMON, &keys::park_contact::FEED].map(|key| {
        section
            .need(key)
            .and_then(|value| roster.inner_point(&value, codes))
    });
    let ground = section
        .may(&keys::park_contact::GROUND)
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
        ratio: section.number(&keys::gear::RATIO),
        // A worm above this is not self-locking, and the law of its friction would not hold.
        efficiency: section.number(&keys::gear::EFFICIENCY),
        stripped: false,
    })
}

fn linkage(section: &mut Section<'_>) -> Option<Inside> {
    let errors = section.findings.errors();
    use keys::linkage::{COUPLER_M, CRANK_M, FRAME_M, ROCKER_M};
    let [crank, coupler, rocker, frame] = [&CRANK_M, &COUPLER_M, &ROCKER_M, &FRAME_M]
        .map(|key| Length::from_metres(section.number(key)));
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
        force: Force::from_newtons(section.number(&keys::arm::FORCE_N)),
        radius: Length::from_metres(section.number(&keys::arm::RADIUS_M)),
        tip: Length::from_metres(section.number(&keys::arm::TIP_M)),
    };
    let pivot = section
        .need(&keys::arm::PIVOT)
        .and_then(|value| pivot(roster, &value));
    let guide = match section.may(&keys::arm::GUIDE) {
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
