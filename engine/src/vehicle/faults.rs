//! What is wrong with a vehicle as a whole: one fault, now and then two at once.

use super::{ComponentId, Fault, FaultError, Vehicle};

/// A fault, and perhaps a second one of a part that is put right on its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Faults {
    /// The fault, or the main one.
    pub main: Fault,
    /// The second one.
    pub second: Option<Fault>,
}

impl Faults {
    /// All of them, the main one first.
    pub fn iter(&self) -> impl Iterator<Item = Fault> + use<> {
        std::iter::once(self.main).chain(self.second)
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.iter().count()
    }
}

impl From<Fault> for Faults {
    fn from(main: Fault) -> Self {
        Self { main, second: None }
    }
}

impl From<&Fault> for Faults {
    fn from(main: &Fault) -> Self {
        (*main).into()
    }
}

impl From<&Self> for Faults {
    fn from(faults: &Self) -> Self {
        *faults
    }
}

impl Vehicle {
    /// This vehicle with all of some faults in it.
    #[must_use]
    pub fn inject_all(&self, faults: &Faults) -> Self {
        let one = self.inject(&faults.main);
        faults
            .second
            .map_or_else(|| one.clone(), |second| one.inject(&second))
    }

    /// Whether one repair could take two components along: they are one, or built into one.
    #[must_use]
    pub fn put_right_together(&self, one: ComponentId, other: ComponentId) -> bool {
        let whole = |id: ComponentId| self.component(id).part_of.unwrap_or(id);
        whole(one) == whole(other)
    }

    /// Names of faults as [`Vehicle::fault_name`] gives them, joined by `+`.
    #[must_use]
    pub fn faults_name(&self, faults: &Faults) -> String {
        let names: Vec<String> = faults.iter().map(|fault| self.fault_name(&fault)).collect();
        names.join("+")
    }

    /// Reads one fault, or two joined by `+`.
    ///
    /// # Errors
    /// [`FaultError`], also for a second fault that would be put right along with the first.
    pub fn parse_faults(&self, text: &str) -> Result<Faults, FaultError> {
        let Some((main, second)) = text.split_once('+') else {
            return self.parse_fault(text).map(Faults::from);
        };
        let (main, second) = (self.parse_fault(main)?, self.parse_fault(second)?);
        if self.put_right_together(main.component, second.component) {
            let id = |fault: Fault| self.component(fault.component).id.to_string();
            return Err(FaultError::Together(id(main), id(second)));
        }
        Ok(Faults {
            main,
            second: Some(second),
        })
    }
}
