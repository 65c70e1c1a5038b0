//! What lamps and the ohmmeter show of what was measured.

use super::meters::{LEADS_OHM, OHMMETER_EMF, OHMMETER_OHM};
use super::observation::{Observable, Quantity, Scale};
use super::scales::BRIGHTNESS;
use super::tally::Trace;
use crate::machines::Filament;

/// Brightness of a lamp that had these volts across it, as a share of its rated voltage.
pub(super) fn brightness(filament: &Filament, subject: String, volts: Trace) -> Observable {
    let rated = filament.rated_voltage.volts();
    let share = |volts: f64| volts / rated;
    // By the eye it is as bright as its mean; which way round the current goes makes no odds.
    let (least, most) = (share(volts.min), share(volts.max));
    let crosses = least < 0.0 && most > 0.0;
    Observable {
        quantity: Quantity::Brightness,
        subject,
        value: share(volts.mean).abs(),
        min: if crosses {
            0.0
        } else {
            least.abs().min(most.abs())
        },
        max: least.abs().max(most.abs()),
        scale: Scale::Words(BRIGHTNESS),
        samples: Vec::new(),
    }
}

/// What the ohmmeter shows for a voltage between its probes, ohms. It divides the voltage at its sockets by
/// the current of its own source, and believes that nothing else drives any: on a live circuit it shows
/// nonsense, as in life.
pub(super) fn ohms_shown(volts: f64) -> f64 {
    let current = (OHMMETER_EMF.volts() - volts) / (OHMMETER_OHM + LEADS_OHM);
    (volts + current * LEADS_OHM) / current
}
