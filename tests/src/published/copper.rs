//! Copper wire: tables by gauge and by metric section, and resistance against temperature.

use groundside_engine::machines::copper;
use groundside_engine::math::bisect_rising;
use groundside_engine::quantity::{Area, Length, Temperature};
use groundside_engine::vehicle::Kind;

use super::printed;
use crate::fleet;
use crate::ledger::{Known, Ledger};

crate::checks![
    gauges_in_ohms_a_length,
    metric_sections_stay_below_the_standard,
    wires_of_the_vehicles_are_copper,
    hot_copper,
    temperature_of_a_winding_by_its_resistance,
];

const FEET_1000_M: f64 = 304.8;

/// Ohms of a round wire: its diameter in millimetres, its length in metres, 20 degrees.
fn round(diameter_mm: f64, metres: f64) -> f64 {
    let mm2 = std::f64::consts::PI * diameter_mm * diameter_mm / 4.0;
    ohms(mm2, metres, 20.0)
}

/// Ohms of a wire: its section in square millimetres, its length in metres, degrees Celsius.
fn ohms(mm2: f64, metres: f64, degc: f64) -> f64 {
    let section = Area::from_square_millimetres(mm2);
    let at = Temperature::from_degrees_celsius(degc);
    copper(Length::from_metres(metres), section, at).ohms()
}

/// The figures were worked out with 0.017241 ohm mm2/m, which is 1/58 rounded.
const ROUNDED_COPPER: f64 = 1.0 / 58.0 / 0.017_241 - 1.0;

/// A row of the tables: ohms of 1000 ft and of a kilometre.
struct Gauge {
    gauge: i32,
    /// By the exact diameter.
    exact: [f64; 2],
    /// By the diameter rounded to a tenth of a mil.
    rounded: [f64; 2],
    /// Decimals of both.
    decimals: [i32; 2],
    /// Ohms of 1000 ft as printed in a general table; `None` where that was not seen.
    printed: Option<f64>,
}

const fn row(
    gauge: i32,
    decimals: [i32; 2],
    exact: [f64; 2],
    rounded: [f64; 2],
    printed: Option<f64>,
) -> Gauge {
    Gauge {
        gauge,
        exact,
        rounded,
        decimals,
        printed,
    }
}

#[rustfmt::skip]
const GAUGES: [Gauge; 15] = [
    row(10, [4, 3], [0.9988, 3.277], [0.9988, 3.277], None),
    row(11, [3, 3], [1.260, 4.132], [1.261, 4.136], None),
    row(12, [3, 3], [1.588, 5.211], [1.589, 5.212], Some(1.588)),
    row(13, [3, 3], [2.003, 6.571], [2.001, 6.564], Some(2.003)),
    row(14, [3, 3], [2.525, 8.285], [2.524, 8.281], Some(2.525)),
    row(15, [3, 2], [3.184, 10.45], [3.181, 10.44], Some(3.184)),
    row(16, [3, 2], [4.016, 13.17], [4.019, 13.19], Some(4.016)),
    row(17, [3, 2], [5.063, 16.61], [5.054, 16.58], Some(5.064)),
    row(18, [3, 2], [6.385, 20.95], [6.386, 20.95], Some(6.385)),
    row(19, [3, 2], [8.051, 26.42], [8.047, 26.40], Some(8.051)),
    row(20, [2, 2], [10.15, 33.31], [10.13, 33.23], Some(10.15)),
    row(21, [2, 2], [12.80, 42.00], [12.77, 41.89], None),
    row(22, [2, 2], [16.14, 52.96], [16.20, 53.16], Some(16.14)),
    row(23, [2, 2], [20.36, 66.78], [20.31, 66.62], Some(20.36)),
    row(24, [2, 2], [25.67, 84.21], [25.67, 84.22], Some(25.67)),
];

fn gauges_in_ohms_a_length(ledger: &mut Ledger) {
    // The two families differ by up to 0.37 % because they round the diameter or do not; copper's own figures are
    // the same, and the engine is given a section. The exact diameters are those of the printed table.
    ledger.source(
        Known::Computed,
        "recomputed from 1/58 ohm mm2/m and d = 0.127 mm x 92^((36 - n) / 39) (ASTM B258), exact and rounded to 0.1 mil",
    );
    ledger.source(
        Known::Quoted,
        "a general table of annealed solid copper wire at 20 degC",
    );
    for row in GAUGES {
        let gauge = row.gauge;
        let exact = 5.0 * 92_f64.powf(f64::from(36 - gauge) / 39.0);
        let rounded = (exact * 10.0).round() / 10.0;
        for (mils, figures) in [(exact, row.exact), (rounded, row.rounded)] {
            let lengths = [FEET_1000_M, 1000.0].into_iter().zip(row.decimals);
            for (figure, (metres, decimals)) in figures.into_iter().zip(lengths) {
                let what = format_args!("gauge {gauge}, {mils:.3} mil, ohm for {metres} m");
                let bound = printed(decimals) + ROUNDED_COPPER * figure;
                ledger.near(what, round(mils * 0.0254, metres), figure, bound);
            }
        }
        if let Some(table) = row.printed {
            // The table was made by hand from steps of the same series: a unit of its last digit.
            let what = format_args!("gauge {gauge}, ohm for 1000 ft in the table");
            let found = round(exact * 0.0254, FEET_1000_M);
            ledger.near(what, found, table, 2.0 * printed(row.decimals[0]));
        }
    }
}

/// Square millimetres; maximum of IEC 60228 in milliohms a metre at 20 degrees for classes 1 and 2, and for 5.
const METRIC: [(f64, f64, f64); 7] = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4.0, 4.61, 4.95),
    (6.0, 3.08, 3.30),
];

const IEC_60228: &str = "IEC 60228, Conductors of insulated cables, maxima for classes 1, 2 and 5";

fn metric_sections_stay_below_the_standard(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, IEC_60228);
    for (mm2, class_2, _) in METRIC {
        // Solid copper of the nominal section is at most the maximum, and no more than 8 % below: the standard
        // leaves that much for drawing, stranding and a section that is not quite the nominal one.
        let found = ohms(mm2, 1.0, 20.0) * 1e3;
        let what = format_args!("{mm2} mm2, mohm/m");
        ledger.between(what, found, 0.92 * class_2, class_2);
    }
}

fn wires_of_the_vehicles_are_copper(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, IEC_60228);
    for vehicle in fleet::vehicles() {
        for component in &vehicle.components {
            let Kind::Wire { data, .. } = &component.kind else {
                continue;
            };
            let mm2 = data.section.square_millimetres();
            let row = METRIC.iter().find(|row| (row.0 - mm2).abs() < 1e-9);
            let Some((_, class_2, class_5)) = row else {
                // Battery cables and straps are thicker than the rows at hand.
                ledger.holds(
                    format_args!("{} has a section of the table", component.id),
                    mm2 > 6.0,
                );
                continue;
            };
            let degc = vehicle.ambient.degrees_celsius();
            let warm = 1.0 + 0.00393 * (degc - 20.0);
            let found = component.paths[0].resistance.ohms() / data.length.metres() * 1e3;
            let what = format_args!("{} of {}, mohm/m", component.id, vehicle.id);
            ledger.between(what, found, 0.92 * class_2 * warm, class_5 * warm);
        }
    }
}

fn hot_copper(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "FAA, AC 43.13-1B, para 11-66: L2 = 254.5 L1 / (234.5 + T2)",
    );
    let ratio = ohms(1.0, 1.0, 80.0) / ohms(1.0, 1.0, 20.0);
    ledger.near("80 to 20 degC", ratio, 1.2358, printed(4));
    ledger.near("length for the same drop", 1.0 / ratio, 0.8092, printed(4));
    // 0.00393 at 20 degrees is 234.45 + T, which the circular rounds to 234.5: less than 0.0001 of the cold
    // resistance apart up to 150 degrees.
    for degc in [-40.0, 0.0, 40.0, 105.0, 150.0] {
        let found = ohms(1.0, 1.0, degc) / ohms(1.0, 1.0, 20.0);
        ledger.near(
            format_args!("{degc} degC to 20"),
            found,
            (234.5 + degc) / 254.5,
            1e-4,
        );
    }
}

fn temperature_of_a_winding_by_its_resistance(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "recomputed from T2 = (R2 / R1) (K + T1) - K with K = 234.45, 234.5 (UL, FAA) and 235 (IEC 60034-1)",
    );
    // 1.000 ohm at 20 degrees has become 1.300. The engine's 0.00393 is K = 234.45.
    let ratio = |degc| ohms(1.0, 1.0, degc) / ohms(1.0, 1.0, 20.0);
    let found = bisect_rising(20.0, 200.0, 1.3, ratio);
    ledger.near("degC by 0.00393", found, 96.34, printed(2));
    // The other two rules differ by their K: 0.3 K for each K in it.
    ledger.near("degC by 234.5", found, 96.35, 0.3 * 0.05 + printed(2));
    ledger.near("degC by 235", found, 96.50, 0.3 * 0.55 + printed(2));
}
