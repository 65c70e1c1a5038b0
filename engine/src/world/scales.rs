//! The scales that quantities are read on: accuracy of the instruments, and words for the senses.

use super::observation::{Display, Words};

/// Accuracy of the meter's volts ranges: 0.5 % + 2 counts (typical handheld; from memory).
pub(super) const VOLTS: Display = Display {
    unit: "V",
    ranges: &[(0.4, -4), (4.0, -3), (40.0, -2), (400.0, -1)],
    step: 1,
    share: 0.005,
    counts: 2.0,
};
/// Accuracy of the meter's ohms ranges: 0.9 % + 2 counts (typical handheld; from memory).
pub(super) const OHMS: Display = Display {
    unit: "ohm",
    ranges: &[
        (400.0, -1),
        (4e3, 0),
        (4e4, 1),
        (4e5, 2),
        (4e6, 3),
        (4e7, 4),
    ],
    step: 1,
    share: 0.009,
    counts: 2.0,
};
/// Accuracy of the meter's diode range: 1 % + 2 counts up to 2 V (typical handheld; from memory).
pub(super) const DIODE: Display = Display {
    unit: "V",
    ranges: &[(2.0, -3)],
    step: 1,
    share: 0.01,
    counts: 2.0,
};
/// Accuracy of the meter's amps range: 1.5 % + 3 counts (typical handheld; from memory).
pub(super) const AMPS: Display = Display {
    unit: "A",
    ranges: &[(4.0, -3), (20.0, -2)],
    step: 1,
    share: 0.015,
    counts: 3.0,
};
/// The beep of the continuity range, ohms: it stops at 30 (typical handheld; from memory).
pub(super) const BEEP: Words = Words {
    cuts: &[30.0],
    words: &["it beeps", "no beep"],
    sd: 0.5,
    share: 0.0,
};
/// Brightness of a 12 V lamp by eye, as the share of its rated voltage that makes it so: a filament begins to
/// glow at about an eighth. Cuts and errors are judgement.
pub(super) const BRIGHTNESS: Words = Words {
    cuts: &[0.125, 0.4, 0.85],
    words: &["stays dark", "glows faintly", "is dim", "is bright"],
    sd: 0.015,
    share: 0.04,
};
/// Hands in a linkage: 0 it stood, 1 it moved.
pub(super) const CAUGHT: Words = Words {
    cuts: &[0.5],
    words: &["it stood still", "it moved, and your hand was in it"],
    sd: 0.02,
    share: 0.0,
};
/// A fuse: 0 whole, 1 blown. It can be looked through.
pub(super) const FUSE: Words = Words {
    cuts: &[0.5],
    words: &["is whole", "has blown"],
    sd: 0.02,
    share: 0.0,
};
/// A fuse or link of the vehicle's own that has just been renewed: 0 whole, 1 blown. It flashes under the hand.
pub(super) const BLOWN: Words = Words {
    cuts: &[0.5],
    words: &["holds", "has blown already"],
    sd: 0.02,
    share: 0.0,
};
/// A clamp meter: 2 % + 2 counts of 0.1 A (judgement).
pub(super) const CLAMP: Display = Display {
    unit: "A",
    ranges: &[(400.0, -1)],
    step: 1,
    share: 0.02,
    counts: 2.0,
};
/// A low-amps clamp with a memory: 2 % + 5 counts of 10 mA (judgement).
pub(super) const TRACE: Display = Display {
    unit: "A",
    ranges: &[(40.0, -2), (400.0, -1)],
    step: 1,
    share: 0.02,
    counts: 5.0,
};
/// Its ripple: a difference of two of its own readings, so without what they have in common (judgement).
pub(super) const RIPPLE: Display = Display {
    unit: "A",
    ranges: &[(40.0, -2), (400.0, -1)],
    step: 1,
    share: 0.02,
    counts: 3.0,
};
/// The dash ammeter: marked in twos, read to about half a mark (judgement).
pub(super) const DASH: Display = Display {
    unit: "A",
    ranges: &[(60.0, 0)],
    step: 2,
    share: 0.05,
    counts: 0.5,
};
/// A click on a watch within a minute: told to a second or two (judgement).
pub(super) const WATCH: Display = Display {
    unit: "s",
    ranges: &[(60.5, 0)],
    step: 1,
    share: 0.0,
    counts: 2.0,
};
/// Counting whole cycles over a minute.
pub(super) const COUNT: Display = Display {
    unit: "/min",
    ranges: &[(400.0, 0)],
    step: 1,
    share: 0.0,
    counts: 1.0,
};

/// Pace by eye, cycles a minute. Cuts and errors of all senses are judgement, no published source. Whether they go
/// evenly is [`EVENNESS`]. Cuts lie between what the shipped vehicles do on wet glass when they are sound: 39, 46, 53, 60
/// and 68 on the battery alone, up to 77 with the engine running.
pub(super) const PACE: Words = Words {
    cuts: &[1.0, 12.0, 33.0, 43.5, 56.0, 80.0],
    words: &[
        "still",
        "creeping",
        "slow",
        "at an unhurried pace",
        "at a middling pace",
        "fast",
        "racing",
    ],
    // What stands is never taken for what creeps.
    sd: 0.1,
    share: 0.05,
};
/// How evenly the blades go, by eye: how far the motor slows at the slowest moment of a wipe, as a share of its mean
/// speed; [`AT_REST`] and that where it does so at their rest, [`THROUGH`] where with the switch at OFF they do not slow
/// there, [`SHORT`] where they never come down there, as an eccentric would have them, [`STOP_AND_GO`] where they stop and set off meanwhile. A sound linkage slows a motor by less than an eighth on
/// wet glass, and on dry glass by a quarter at most, of which half counts (worked out on the shipped vehicles); cuts and errors are judgement.
pub(super) const EVENNESS: Words = Words {
    cuts: &[0.17, 1.0, 3.0, 5.0, 7.0],
    words: &[
        "they go evenly",
        "they drag in one part of each wipe",
        "each time they come to their rest they slow down, do not stop, and go on",
        "they run through their rest without slowing",
        "they go on and turn round short of their rest each time",
        "they stop and go again",
    ],
    sd: 0.02,
    share: 0.0,
};
pub(super) const AT_REST: f64 = 2.0;
pub(super) const THROUGH: f64 = 4.0;
pub(super) const SHORT: f64 = 6.0;
pub(super) const STOP_AND_GO: f64 = 8.0;
/// The same by ear, in the note of the motor.
pub(super) const SAG: Words = Words {
    cuts: &[0.17],
    words: &["even", "sinking once in each wipe"],
    sd: 0.02,
    share: 0.0,
};
/// Resting place as a driver minds it, millimetres of blade tip from where it should rest.
pub(super) const REST: Words = Words {
    cuts: &[90.0, 300.0],
    words: &[
        "at their rest",
        "a little off their rest",
        "out on the glass",
    ],
    sd: 10.0,
    share: 0.05,
};
/// The same by an eye that goes near: a healthy stop may leave blades some way off, and so may one that stalls.
pub(super) const REST_SEEN: Words = Words {
    cuts: &[25.0, 90.0, 300.0],
    words: &[
        "at their rest",
        "near their rest",
        "a little off their rest",
        "out on the glass",
    ],
    sd: 5.0,
    share: 0.05,
};
/// Blades from wherever one is: 0 at rest, 1 near it, 2 standing elsewhere, 3 moving.
pub(super) const BLADES: Words = Words {
    cuts: &[0.5, 1.5, 2.5],
    words: &[
        "at rest",
        "standing near their rest",
        "standing on the glass",
        "moving",
    ],
    sd: 0.1,
    share: 0.0,
};
/// Pitch by ear, shaft rad/s. Cuts lie between what the shipped vehicles do on wet glass and on the battery alone, sound or
/// with their worm stripped: up to 344, 378 to 425, and 513.
pub(super) const PITCH: Words = Words {
    cuts: &[5.0, 180.0, 360.0, 470.0],
    words: &[
        "no motor is heard",
        "a low, labouring note",
        "a steady note",
        "a high note",
        "a racing note",
    ],
    sd: 1.0,
    share: 0.04,
};
/// Hum by ear, amperes in a motor that stands.
pub(super) const HUM: Words = Words {
    cuts: &[1.5],
    words: &["no hum", "the motor hums"],
    sd: 0.3,
    share: 0.05,
};
/// Clicks of the breaker in the time one listens.
pub(super) const CLICKS: Words = Words {
    cuts: &[0.5],
    words: &["no click", "the breaker clicks"],
    sd: 0.1,
    share: 0.0,
};
/// Moves of relays in the time one listens.
pub(super) const RELAYS: Words = Words {
    cuts: &[0.5, 12.5],
    words: &["no relay is heard", "a relay clicks", "a relay buzzes"],
    sd: 0.1,
    share: 0.0,
};
/// Wipes each time that the blades set off, at intervals. What stands is never taken for what stirs.
pub(super) const WIPES: Words = Words {
    cuts: &[0.1, 0.8, 1.5, 2.5],
    words: &[
        "do not stir",
        "go a part of a wipe at a time",
        "wipe once at a time",
        "wipe twice at a time",
        "wipe on and on",
    ],
    sd: 0.02,
    share: 0.03,
};
/// Play by ear as the blades turn round, degrees at an arm (judgement).
pub(super) const KNOCK: Words = Words {
    cuts: &[0.8, 3.0],
    words: &[
        "no knock",
        "a knock at each end of the wipe",
        "a hard knock at each end of the wipe",
    ],
    sd: 0.2,
    share: 0.1,
};
/// How far an arm's tip moves to and fro under a hand with the gear holding it, millimetres (judgement).
pub(super) const PLAY: Words = Words {
    cuts: &[6.0, 30.0],
    words: &[
        "has no play to speak of",
        "has play at its tip",
        "flaps to and fro",
    ],
    sd: 1.5,
    share: 0.1,
};
/// How many arms stay while the pivots turn.
pub(super) const STAY: Words = Words {
    cuts: &[0.5],
    words: &["both go", "one of them stays where it is"],
    sd: 0.1,
    share: 0.0,
};
/// How far a blade's tip runs beyond where it should turn round, millimetres (judgement: some is seen against the edge of
/// the glass, more strikes what is beside it).
pub(super) const OVERRUN: Words = Words {
    cuts: &[12.0, 60.0],
    words: &[
        "the blades turn round where they should",
        "a blade runs past the edge of the glass as it turns round",
        "a blade strikes beyond the edge of the glass as it turns round",
    ],
    sd: 3.0,
    share: 0.1,
};
/// Share of its length over which a blade leaves wet glass wet (judgement).
pub(super) const STREAK: Words = Words {
    cuts: &[0.06, 0.5],
    words: &[
        "the blades wipe clean",
        "a blade leaves a streak of water",
        "a blade leaves most of the water where it is",
    ],
    sd: 0.015,
    share: 0.1,
};
/// Share of a blade's rubber that is torn loose, by ear as the blades turn round, and by eye from near (judgement).
pub(super) const FLAP: Words = Words {
    cuts: &[0.1],
    words: &["no flap", "a flap of rubber as the blades turn round"],
    sd: 0.03,
    share: 0.1,
};
pub(super) const RUBBER: Words = Words {
    cuts: &[0.05],
    words: &["is whole", "is torn loose"],
    sd: 0.015,
    share: 0.0,
};
/// How far an arm is pushed on beside its mark, degrees: a tooth of its serration is 5 (common practice, no published
/// source).
pub(super) const ARM_OFF_MARK: Words = Words {
    cuts: &[5.0],
    words: &["is on its mark", "is pushed on beside its mark"],
    sd: 1.5,
    share: 0.0,
};
/// How far a crank stands off its mark, degrees: paint or a notch on nut, crank and shaft (common practice, no published
/// source).
pub(super) const OFF_MARK: Words = Words {
    cuts: &[15.0],
    words: &["stands on its mark", "stands off its mark"],
    sd: 4.0,
    share: 0.0,
};
/// By how much a bent link puts an arm out of its place, degrees, by an eye along the link (judgement).
pub(super) const BENT: Words = Words {
    cuts: &[3.0],
    words: &["is straight", "is bent"],
    sd: 0.8,
    share: 0.0,
};
/// Whether a link is off its pin, by eye.
pub(super) const ADRIFT: Words = Words {
    cuts: &[0.5],
    words: &["is on its pins", "has come off its pin"],
    sd: 0.1,
    share: 0.0,
};
/// Water from the jets, beside what should come.
pub(super) const SPRAY: Words = Words {
    cuts: &[0.02, 0.5],
    words: &[
        "no water comes",
        "hardly any water comes",
        "water comes as it should",
    ],
    sd: 0.01,
    share: 0.1,
};
/// Rating of a blade fuse by its number and colour, amperes [ISO 8820-3].
pub(super) const RATING: Words = Words {
    cuts: &[1.5, 2.5, 3.5, 4.5, 6.25, 8.75, 12.5, 17.5, 22.5, 27.5],
    words: &[
        "1 A, black",
        "2 A, grey",
        "3 A, violet",
        "4 A, pink",
        "5 A, tan",
        "7.5 A, brown",
        "10 A, red",
        "15 A, blue",
        "20 A, yellow",
        "25 A, clear",
        "30 A, green",
    ],
    sd: 0.02,
    share: 0.0,
};
/// Shape of a recorded current: 0 flat, 1 an even ripple, 2 to 4 with one, two or several dips in a turn, 5 to 7 with as
/// many peaks.
pub(super) const DIPS: Words = Words {
    cuts: &[0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5],
    words: &[
        "no ripple",
        "an even ripple",
        "one dip each turn",
        "two dips each turn",
        "several dips each turn",
        "one peak each turn",
        "two peaks each turn",
        "several peaks each turn",
    ],
    sd: 0.1,
    share: 0.0,
};
/// What turns: 0 nothing, 1 the wheel's shaft only, 2 crank and links too.
pub(super) const FOLLOWS: Words = Words {
    cuts: &[0.5, 1.5],
    words: &[
        "nothing turns",
        "the gear's shaft turns, the crank stays",
        "crank and links move",
    ],
    sd: 0.1,
    share: 0.0,
};
/// Temperature of metal by hand, degrees Celsius: a hand leaves bare metal at some 55 (from memory).
pub(super) const TEMPERATURE: Words = Words {
    cuts: &[30.0, 42.0, 55.0],
    words: &["cool", "warm", "hot", "too hot to keep a hand on"],
    sd: 2.0,
    share: 0.0,
};
/// Smell of a winding's varnish, by the highest temperature of its copper, degrees Celsius.
pub(super) const SMELL: Words = Words {
    cuts: &[110.0, 160.0],
    words: &["nothing unusual", "warm varnish", "burnt varnish"],
    sd: 4.0,
    share: 0.0,
};
/// Warmth by hand, watts lost in the component.
pub(super) const WARMTH: Words = Words {
    cuts: &[1.5, 6.0],
    words: &["cold", "warm", "hot"],
    sd: 0.2,
    share: 0.1,
};
/// Torque by hand, newton metres.
pub(super) const ARM_TORQUE: Words = Words {
    cuts: &[0.7, 1.5, 20.0, 500.0, 5000.0],
    words: &[
        "swings freely",
        "drags a little",
        "is stiff",
        "will not move",
        "is held by the gear, only play is felt",
        "sweeps and takes the hand along, nothing else can be felt",
    ],
    sd: 0.05,
    share: 0.1,
};
/// Force of a blade by hand, newtons: lifting it a little.
pub(super) const BLADE_FORCE: Words = Words {
    cuts: &[3.0, 15.0],
    words: &[
        "hardly touches the glass",
        "lies on the glass as it should",
        "presses hard",
    ],
    sd: 0.5,
    share: 0.15,
};
/// What is on the glass by eye or hand: 0 streaming water, 1 wet, 2 dry, 3 ice, 4 ice with water freezing on it.
pub(super) const GLASS: Words = Words {
    cuts: &[0.5, 1.5, 2.5, 3.5],
    words: &[
        "under streaming water",
        "wet",
        "dry",
        "iced",
        "iced, and the water freezes on it: hardly any ice has gone",
    ],
    sd: 0.1,
    share: 0.0,
};
/// An engine that is started: 0 its starter does not turn it, 1 not fast enough, 2 it runs.
pub(super) const STARTS: Words = Words {
    cuts: &[0.5, 1.5],
    words: &[
        "the engine does not turn over",
        "the engine turns over too slowly to start",
        "the engine starts",
    ],
    sd: 0.02,
    share: 0.0,
};
/// Strength of another consumer, as a share of its rated voltage.
pub(super) const STRENGTH: Words = Words {
    cuts: &[0.15, 0.8],
    words: &["dead", "weak", "as it should be"],
    sd: 0.03,
    share: 0.0,
};

/// Grip by hand, millimetres that something gives under a firm pull.
pub(super) const GRIP: Words = Words {
    cuts: &[1.0, 4.0, 10.0],
    words: &["holds", "gives a little", "stretches", "pulls out"],
    sd: 0.2,
    share: 0.1,
};
/// A spanner on a nut that nobody undid: 0 it is tight, 1 it was not.
pub(super) const TURNED: Words = Words {
    cuts: &[0.5],
    words: &[
        "does not turn any further",
        "turns a little, and is tight now",
    ],
    sd: 0.1,
    share: 0.0,
};
/// The motor while something is moved: 0 it goes on or stands, 1 it stops or starts with the hand, 2 it does so of
/// itself, which says nothing of what was moved.
pub(super) const FALTERS: Words = Words {
    cuts: &[0.5, 1.5],
    words: &[
        "the motor takes no notice",
        "the motor falters",
        "the motor falters, but not with the hand",
    ],
    sd: 0.1,
    share: 0.0,
};

/// A meter that was left clipped, while something is moved: 0 it stays where it is, 1 it swings with the hand, 2 it
/// swings by itself.
pub(super) const CLIP_SWINGS: Words = Words {
    cuts: &[0.5, 1.5],
    words: &[
        "the clipped meter does not follow the hand",
        "the clipped meter swings with the hand",
        "the clipped meter swings, but not with the hand",
    ],
    sd: 0.1,
    share: 0.0,
};

/// What a lead put on or taken off did to the motor: stopped it, nothing, started it, let it run home, let it run and
/// stop elsewhere.
pub(super) const MOTOR_CHANGE: Words = Words {
    cuts: &[-0.5, 0.5, 1.5, 2.5],
    words: &[
        "the motor stops",
        "the motor takes no notice",
        "the motor starts",
        "the motor runs the blades home and stops there",
        "the motor runs for a moment and stops",
    ],
    sd: 0.1,
    share: 0.0,
};

/// Whether a lamp that is held on two points feeds a motor that stood; numbered as [`MOTOR_CHANGE`].
pub(super) const FED_BY_LAMP: Words = Words {
    cuts: &[-0.5, 0.5],
    words: &[
        "the motor stops",
        "the motor takes no notice",
        "the motor turns on what the lamp lets through, so what the lamp shows is shared with it",
    ],
    sd: 0.1,
    share: 0.0,
};

/// Crust and chafing by eye, from 0 to 1. Dirt passes for crust, and crust and chafing hide under tape and behind
/// things: one look in three misses what a fault leaves, one in forty finds what is not there.
pub(super) const CRUST: Words = Words {
    cuts: &[0.5],
    words: &["clean", "a green crust"],
    sd: 0.25,
    share: 0.0,
};
pub(super) const CHAFE: Words = Words {
    cuts: &[0.5],
    words: &["nothing rubbed through", "rubbed through to the strands"],
    sd: 0.25,
    share: 0.0,
};
/// A link or fuse by eye: 0 whole, 1 melted.
pub(super) const MELTED: Words = Words {
    cuts: &[0.5],
    words: &["looks whole", "has melted"],
    sd: 0.2,
    share: 0.0,
};
/// What an arm that the worm holds is felt as, newton metres: beyond any hand.
pub(super) const HELD_NM: f64 = 1000.0;
/// What an arm that the motor sweeps is felt as, newton metres: no hand tells anything of it.
pub(super) const SWEPT_NM: f64 = 10_000.0;
