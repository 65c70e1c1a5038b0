//! What kinds of things are observed, how far their values lie apart and how sound vehicles differ in them.

use serde::Serialize;

/// What kind of thing is observed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// DC volts between two points.
    Voltage,
    /// Ohms between two points, as the meter infers them.
    Resistance,
    /// Whether the meter beeps on its continuity range.
    Continuity,
    /// Volts that the meter's small constant current leaves on its diode range.
    DiodeVoltage,
    /// Current through the meter, in series.
    SeriesCurrent,
    /// Whether the fuse of the meter's amps range has blown.
    MeterFuse,
    /// Whether the fuse of a jumper lead has blown.
    LeadFuse,
    /// Whether a fuse or a link of the vehicle that was renewed blew as it went in.
    NewFuse,
    /// Whether a linkage moved while hands were in it.
    Caught,
    /// Brightness of a lamp that is held on two points, by eye.
    Brightness,
    /// Current in a wire, by clamp.
    Current,
    /// Ripple of a current, peak to peak over two turns of the motor's shaft.
    Ripple,
    /// How many dips or peaks a turn stand out from the even ripple of a current.
    Dips,
    /// Discharge shown by the dash ammeter.
    Discharge,
    /// Cycles a minute, counted against a watch.
    CyclesPerMinute,
    /// Pace of the blades, by eye.
    Pace,
    /// How evenly the blades go, by eye.
    Evenness,
    /// How far the note of the motor sinks in each wipe, by ear.
    Sag,
    /// Where the blades are when they stand, by eye.
    Rest,
    /// Whether blades move, from wherever one is.
    Blades,
    /// Pitch of the motor, by ear.
    Pitch,
    /// Hum of a motor that has current but does not turn, by ear.
    Hum,
    /// Clicks of the breaker, by ear.
    Clicks,
    /// When what protects a motor first clicks while an arm is held, on a watch.
    OpensAfter,
    /// A knock as the blades turn round, by ear.
    Knock,
    /// Play of an arm at its tip, by hand.
    Play,
    /// Arms that stay while the pivots turn, by eye.
    Stay,
    /// How far a blade runs beyond where it should turn round, by eye.
    Overrun,
    /// What a blade leaves wet of what it wipes, by eye.
    Streak,
    /// Rubber that flaps as the blades turn round, by ear.
    Flap,
    /// Whether the rubber of a blade is whole, by eye.
    Rubber,
    /// Whether a crank stands on its mark, by eye.
    OffMark,
    /// Whether an arm is pushed on at its mark, by eye.
    ArmOffMark,
    /// Whether a link is straight, by eye.
    Bent,
    /// Whether a link is off its pin, by eye.
    Adrift,
    /// Moves of relays, by ear.
    RelayClicks,
    /// How many wipes the blades make at a time, by eye.
    Wipes,
    /// Water from the washer's jets, by eye.
    Spray,
    /// Rating of a blade fuse, read on it.
    Rating,
    /// What of shaft, crank and links turns, by eye.
    Follows,
    /// Warmth of a component, by hand.
    Warmth,
    /// Temperature of a motor, by hand.
    Temperature,
    /// What a component smells of.
    Smell,
    /// Torque needed to swing an arm, by hand.
    ArmTorque,
    /// How hard a blade lies on the glass, by hand.
    BladeForce,
    /// What is on the glass, by eye or hand.
    Glass,
    /// How well another consumer works.
    Strength,
    /// How an engine answers its starter, by ear.
    Starts,
    /// How far something gives when it is pulled.
    Grip,
    /// Whether a nut that nobody undid turns under a spanner.
    Turned,
    /// Whether the motor falters while something is moved.
    Falters,
    /// Whether a meter that was left clipped swings while something is moved.
    ClipSwings,
    /// Whether a lead that was put on or taken off started the motor or stopped it.
    MotorChange,
    /// Green crust on a joint, by eye.
    Crust,
    /// Insulation rubbed through or strands broken, by eye.
    Chafe,
    /// Whether a link or fuse has melted, by eye.
    Melted,
    /// How a position of the wiper switch did on the road, by the driver's word.
    Told,
    /// Whether something makes it worse, by the driver's word.
    When,
}

impl Quantity {
    /// Whether one look, or one answer, is like any other whatever is switched on meanwhile: its error is then
    /// that of the thing and stays for good.
    #[must_use]
    pub const fn is_lasting(self) -> bool {
        matches!(
            self,
            Self::Grip
                | Self::Crust
                | Self::Chafe
                | Self::Melted
                | Self::Adrift
                | Self::Bent
                | Self::Rubber
                | Self::ArmOffMark
                | Self::Rating
                | Self::Told
                | Self::When
        )
    }

    /// How far values of this quantity may lie apart at all, in its unit.
    pub(super) fn span(self) -> f64 {
        match self {
            Self::Voltage => 14.0,
            Self::DiodeVoltage => 3.0,
            Self::Current | Self::Ripple | Self::SeriesCurrent | Self::Discharge => 20.0,
            Self::CyclesPerMinute => 80.0,
            Self::OpensAfter => 60.0,
            _ => 1000.0,
        }
    }

    /// Standard deviation by which sound vehicles of one make differ at a value (judgement): joints and
    /// wires are never quite alike, so that a few millivolts prove nothing.
    #[must_use]
    pub fn tolerance(self, value: f64) -> f64 {
        match self {
            Self::Voltage | Self::DiodeVoltage | Self::Brightness => 0.02 + 0.003 * value.abs(),
            Self::Current | Self::SeriesCurrent | Self::Discharge => 0.05 + 0.03 * value.abs(),
            Self::Ripple => 0.02 + 0.1 * value.abs(),
            Self::CyclesPerMinute => 0.3 + 0.02 * value.abs(),
            Self::Resistance => 0.05 + 0.03 * value.abs(),
            // Bimetals of one make bend at currents some percent apart.
            Self::OpensAfter => 0.5 + 0.1 * value.abs(),
            _ => 0.0,
        }
    }
}
