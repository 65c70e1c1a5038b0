//! What the numbers of terminals mean, held against what the vehicles do there; and the codes of colours.

use std::sync::Arc;

use groundside_engine::file::read_vehicle;
use groundside_engine::quantity::{Angle, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Instrument, Kind, Node, Point, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft, VOLTMETER};

use crate::ledger::{Known, Ledger};
use crate::{VEHICLE, fleet};

crate::checks![
    terminals_are_live_when_their_number_says_so,
    the_park_contact_changes_over,
    colours_are_coded_and_joined_in_order,
];

/// Share of the battery's voltage that a voltmeter shows between a point and battery negative, the vehicle held
/// still with its key, wipers and crank in given places. (Without a meter a wire that hangs on open contacts alone
/// stands anywhere between the ends of their insulation.)
fn share(
    vehicle: &Arc<Vehicle>,
    point: Point,
    (key, wiper): (usize, &str),
    crank_deg: Option<f64>,
) -> f64 {
    let switch = vehicle.control("wiper").unwrap();
    let positions = vehicle.component(switch).positions();
    let wiper = positions.iter().position(|known| *known == wiper).unwrap();
    let battery = vehicle.find("battery").expect("there is a battery");
    let plus = vehicle.component(battery).terminals[0].node;
    let query = PointQuery {
        positions: vec![(vehicle.control("key").unwrap(), key), (switch, wiper)],
        unplugged: Vec::new(),
        tripped: Vec::new(),
        parted: Vec::new(),
        crank: crank_deg.map(Angle::from_degrees),
        shaft_angle: None,
        shaft: Shaft::Held,
        glass: Glass::Wet,
        instruments: vec![Instrument {
            red: vehicle.node(point),
            black: Node::REFERENCE,
            resistance: VOLTMETER,
            emf: Voltage::ZERO,
        }],
    };
    let response = OperatingPoint::of(vehicle, &query).unwrap().response;
    let volts = |node| response.potential(node).at_rest;
    volts(vehicle.node(point)) / volts(plus)
}

/// The points whose terminal has this number. At a relay 30 is its own contact's, whatever that is fed from.
fn numbered<'a>(vehicle: &'a Vehicle, number: &'a str) -> impl Iterator<Item = Point> + 'a {
    let is_relay = |id: ComponentId| match vehicle.component(id).kind {
        Kind::Relay(_) => true,
        Kind::Connector { mates: Some(far) } => {
            matches!(vehicle.component(far).kind, Kind::Relay(_))
        }
        _ => false,
    };
    vehicle.points().filter(move |point| {
        let terminal = &vehicle.component(point.component).terminals[point.terminal];
        terminal.name.as_str() == number && !is_relay(point.component)
    })
}

const OFF: &str = "off";
const LOW: &str = "low";
const HIGH: &str = "high";

fn terminals_are_live_when_their_number_says_so(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "DIN 72552: 15 after the ignition switch, 30 from the battery, 31 to ground, 53 motor, 53a park feed",
    );
    ledger.source(Known::Memory, "DIN 72552: 53b second speed, 75 accessories");
    // Number, key off and wiper off; key on and wiper OFF, LOW, HIGH: whether it is live. `None` where the
    // winding or the kind of system decides.
    let expected = [
        ("30", [Some(true); 4]),
        ("15", [Some(false), Some(true), Some(true), Some(true)]),
        ("75", [Some(false), Some(true), Some(true), Some(true)]),
        ("31", [Some(false); 4]),
        ("53a", [Some(false), Some(true), None, None]),
        ("53", [Some(false), None, Some(true), None]),
        ("53b", [Some(false), None, None, Some(true)]),
    ];
    let states = [(0, OFF), (2, OFF), (2, LOW), (2, HIGH)];
    for vehicle in fleet::vehicles() {
        let mut numbers = 0;
        for (number, live) in expected {
            for point in numbered(&vehicle, number) {
                numbers += 1;
                for (state, live) in states.into_iter().zip(live) {
                    let Some(live) = live else { continue };
                    let name = vehicle.point_name(point);
                    let what = format_args!("{name} of {}, key and wiper {state:?}", vehicle.id);
                    // A motor that stands draws its largest current: a seventh is lost on the way to it, and up
                    // to three hundredths on the way back.
                    let (expected, bound) = if live { (1.0, 0.25) } else { (0.0, 0.035) };
                    let found = share(&vehicle, point, state, None);
                    ledger.near(what, found, expected, bound);
                }
            }
        }
        ledger.holds("there are such terminals", numbers >= 7);
        // The key's middle position feeds accessories and not what follows the ignition.
        for (number, live) in [("15", 0.0), ("75", 1.0)] {
            for point in numbered(&vehicle, number) {
                let found = share(&vehicle, point, (1, OFF), None);
                ledger.near(format_args!("{number} at acc"), found, live, 0.15);
            }
        }
    }
}

fn the_park_contact_changes_over(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "the park contact: at rest it joins 53e to 31, away from it 53a to 53e",
    );
    for vehicle in fleet::vehicles() {
        let is_motor =
            |point: &Point| matches!(vehicle.component(point.component).kind, Kind::Motor(_));
        let of_motor = |number| numbered(&vehicle, number).find(is_motor);
        let (Some(returns), Some(feed), Some(ground)) =
            (of_motor("53e"), of_motor("53a"), of_motor("31"))
        else {
            continue;
        };
        for (crank, other) in [(None, ground), (Some(150.0), feed)] {
            // In LOW the switch leaves 53e alone, so it shows what the contact joins it to.
            let [found, expected] =
                [returns, other].map(|point| share(&vehicle, point, (2, LOW), crank));
            let what = format_args!("53e of {} as {}", vehicle.id, vehicle.point_name(other));
            ledger.near(what, found, expected, 1e-6);
        }
    }
}

fn colours_are_coded_and_joined_in_order(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "IEC 60757: two letters for each colour; several joined in the order of its table",
    );
    ledger.source(
        Known::Read,
        "IEC 60757: green and yellow together as GNYE only",
    );
    let reads = |colour: &str| {
        let text = VEHICLE.replacen("colour = \"BKGN\"", &format!("colour = \"{colour}\""), 1);
        assert!(
            text.contains(&format!("\"{colour}\"")),
            "{colour} is in the text"
        );
        read_vehicle(&text).is_ok()
    };
    let codes = [
        "BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR",
    ];
    for (n, code) in codes.into_iter().enumerate() {
        ledger.holds(format_args!("{code} is a colour"), reads(code));
        for later in &codes[n + 1..] {
            let (joined, reversed) = (format!("{code}{later}"), format!("{later}{code}"));
            let green_and_yellow = joined == "YEGN";
            ledger.holds(format_args!("{joined}"), reads(&joined) != green_and_yellow);
            ledger.holds(
                format_args!("{reversed}"),
                reads(&reversed) == green_and_yellow,
            );
        }
    }
    for (colour, valid) in [
        ("RDBU", true),
        ("GNYE", true),
        ("RDGNYE", false),
        ("RDYEGN", false),
        ("XX", false),
    ] {
        ledger.holds(format_args!("{colour}: {valid}"), reads(colour) == valid);
    }
}
