//! Units: the end of a key's name says in what its number counts.

use super::{Holds, Key};

/// Ends of names, and the unit of what is so named. A name may be nothing but its end.
const UNITS: [(&str, &str); 22] = [
    ("ohm", "ohm"),
    ("v", "V"),
    ("a", "A"),
    ("vs", "V s (volts for each radian a second)"),
    ("m", "m"),
    ("mm2", "mm2"),
    ("deg", "degrees"),
    ("degc", "degrees Celsius"),
    ("kgm2", "kg m2"),
    ("nm", "N m"),
    ("nms", "N m s (newton metres for each radian a second)"),
    ("n", "N"),
    ("s", "s"),
    ("min", "min"),
    ("minutes", "min"),
    ("years", "years"),
    ("turns", "turns"),
    ("at", "ampere turns, in the unit of the turns"),
    ("price", "units of account"),
    ("rate", "units of account a minute"),
    ("coils", "coils"),
    ("faults", "faults"),
];

impl Key {
    /// The unit of its number; `None` for what is no number, or a bare one.
    pub(super) fn unit(&self) -> Option<&'static str> {
        let counts = matches!(
            self.holds,
            Holds::Number(_) | Holds::Whole { .. } | Holds::Minutes { .. }
        );
        let end = self.name.rsplit('_').next()?;
        let unit = UNITS.iter().find(|(suffix, _)| *suffix == end);
        unit.filter(|_| counts).map(|(_, unit)| *unit)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{FileKind, tables};
    use super::*;

    #[test]
    fn every_number_has_a_unit_or_is_a_bare_ratio() {
        let mut bare = Vec::new();
        for file in [FileKind::Vehicle, FileKind::Scenario] {
            for table in tables(file.table()) {
                for key in table.all() {
                    let counts = matches!(key.holds, Holds::Number(_) | Holds::Whole { .. });
                    if counts && key.unit().is_none() && !bare.contains(&key.name) {
                        bare.push(key.name);
                    }
                }
            }
        }
        bare.sort_unstable();
        assert_eq!(bare, ["crust", "efficiency", "ratio", "reclose"]);
    }
}
