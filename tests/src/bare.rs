//! A vehicle of a battery, one wire and one load, for what instruments do to a circuit that is known by hand.

use std::sync::Arc;

use groundside_engine::file::read_vehicle;
use groundside_engine::quantity::Resistance;
use groundside_engine::vehicle::Vehicle;

use crate::path_of;

/// Its file: the wire runs from the battery to the load's feed, the load is off, and its other end is ground.
const BARE: &str = r#"
format = 1

[vehicle]
id = "bare"
title = "a battery, a wire and a load"
age_years = 1
ambient_degc = 20

[place.bench]
title = "bench"

[charges]
walk_min = 0.5
control_min = 0.1
helper_min = 0.2
sense_min = 0.4
count_min = 1
wet_glass_min = 0.5
meter_out_min = 1.5
reading_min = 0.8
plug_min = 0.5
arm_min = 0.3
nut_off_min = 4
nut_on_min = 5
jumper_min = 2
battery_test_min = 3

[battery.battery]
title = "battery"
place = "bench"
open_circuit_v = 12.6
internal_resistance_ohm = 0.0008
repairs = { mend = { minutes = 15, price = 0 }, replace = { minutes = 15, price = 0 }, charge = { minutes = 15, price = 0 }, explain = { minutes = 15, price = 0 } }

[wire.feed]
title = "wire from battery to load"
place = "bench"
from = "battery pos"
to = "load feed"
length_m = 0.058
section_mm2 = 1
colour = "RD"
repairs = { mend = { minutes = 15, price = 0 } }

[consumer.load]
title = "load"
place = "bench"
control = "load"
resistance_ohm = 10
rated_v = 12

[body.body]
title = "body"
place = "bench"

[ground-point.ground]
title = "ground point"
place = "bench"
resistance_ohm = 0.0001
repairs = { mend = { minutes = 15, price = 0 } }

[strap.return]
title = "strap from load to ground"
place = "bench"
from = "load ground"
to = "ground stud"
length_m = 0.29
section_mm2 = 50
repairs = { mend = { minutes = 15, price = 0 } }

[strap.battery-strap]
title = "battery ground strap"
place = "bench"
from = "ground stud"
to = "battery neg"
length_m = 0.29
section_mm2 = 50
repairs = { mend = { minutes = 15, price = 0 } }
"#;

/// The vehicle with this resistance from the battery's EMF to the load's feed, ohms.
#[must_use]
pub fn bare(ohms: f64) -> Arc<Vehicle> {
    let (mut vehicle, _warnings) = read_vehicle(BARE).expect("the bare vehicle is valid");
    let (battery, _) = path_of(&vehicle, "battery");
    let within = vehicle.component(battery).paths.iter();
    let internal: f64 = within.map(|path| path.resistance.ohms()).sum();
    let (wire, place) = path_of(&vehicle, "feed");
    vehicle.components[wire.index()].paths[place].resistance =
        Resistance::from_ohms(ohms - internal);
    Arc::new(vehicle)
}
