//! Everything a report says, as plain data: the JSON form, and what Markdown and HTML are drawn from.

use schemars::JsonSchema;
use serde::Serialize;

/// A fact of the car.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Fact {
    /// The rig file's key.
    pub key: String,
    /// Its value as written, or the default.
    pub value: String,
    /// Whether nobody stated it.
    pub default: bool,
}

/// A reading against its band, in the unit it was typed in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Against {
    /// The reading.
    pub value: f64,
    /// Lower limit, if there is one.
    pub low: Option<f64>,
    /// Upper limit, if there is one.
    pub high: Option<f64>,
    /// The value expected.
    pub expected: Option<f64>,
    /// Standard uncertainty of the reading.
    pub uncertainty: f64,
    /// The unit's symbol; empty for plain numbers.
    pub unit: String,
    /// For a pressure what it is measured from: `gauge`, `absolute`, or nothing for a difference.
    pub reference: Option<String>,
}

/// When in the case something was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// On the way to the finding.
    Walk,
    /// After the repair.
    AfterRepair,
    /// While the car was put back as it was.
    PuttingBack,
}

/// What a reading that was taken from a data log rests on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FromLog {
    /// The log's file.
    pub file: String,
    /// Its SHA-256, in hexadecimal.
    pub digest: String,
    /// Standard deviation within and between its steady stretches, with its unit.
    pub spread: String,
    /// How many stretches.
    pub stretches: usize,
    /// Their length together, s.
    pub seconds: f64,
}

/// A data log that was read for the case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReadLog {
    /// Its file.
    pub file: String,
    /// Its SHA-256, in hexadecimal.
    pub digest: String,
    /// When it was read, RFC 3339.
    pub time: String,
    /// Readings it gave.
    pub readings: usize,
    /// How many of them a person took at a step.
    pub taken: usize,
}

/// One step as done.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Row {
    /// Number in the order of time, from 1.
    pub number: usize,
    /// The step's flat id.
    pub step: String,
    /// Its name.
    pub title: String,
    /// When it was kept, RFC 3339.
    pub time: String,
    /// When in the case.
    pub phase: Phase,
    /// What was read or answered, as typed; "done"; "not tested: reason" where it could not be done.
    pub given: String,
    /// The quantity and condition of a reading, in words.
    pub quantity: Option<String>,
    /// What was expected, in words; none where nothing is.
    pub expected: Option<String>,
    /// How wide the band is and what sets that.
    pub tolerance: Option<String>,
    /// The verdict in a word: low, within, high, undecided; of a look "nothing wrong" or "noted"; "not tested".
    pub verdict: Option<String>,
    /// Probability that the true value lies where the verdict says, 0 to 1.
    pub probability: Option<f64>,
    /// The instrument.
    pub instrument: Option<String>,
    /// Standard uncertainty, with its unit.
    pub uncertainty: Option<String>,
    /// Where the gauge sat.
    pub place: Option<String>,
    /// The numbers of a reading.
    pub against: Option<Against>,
    /// Of a reading that no gauge was read for, the data log it comes from.
    pub from_log: Option<FromLog>,
    /// Whether it is a measurement or a look, rather than something done.
    pub asked: bool,
    /// Whether it could not be done.
    pub not_tested: bool,
    /// Whether it corrects what an earlier row says.
    pub correction: bool,
}

/// A fault with its share of the belief.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Share {
    /// The fault's id; `other` is one in no catalogue.
    pub fault: String,
    /// In words.
    pub name: String,
    /// Before anything was measured.
    pub before: f64,
    /// After everything.
    pub after: f64,
}

/// Faults that one reading or look speaks against.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuledOut {
    /// The reading or look.
    pub by: String,
    /// The faults it speaks against most, in words.
    pub faults: Vec<String>,
}

/// A caution that stood before a step or a repair.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Warned {
    /// Order of gravity, 0 the gravest.
    #[serde(skip)]
    pub rank: usize,
    /// Signal word by ANSI Z535.6.
    pub signal: String,
    /// Hazard, consequence, how to avoid it.
    pub text: String,
}

/// What the case comes to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Conclusion {
    /// `finding`, `hand-over` or `open`.
    pub kind: String,
    /// The fault's id, of a finding.
    pub fault: Option<String>,
    /// The fault in words.
    pub fault_name: Option<String>,
    /// What is wrong, or what is known.
    pub says: String,
    /// What to do.
    pub to_do: String,
    /// Faults that this case cannot part from it.
    pub also: Vec<String>,
    /// Share of the belief that the fault's part holds after everything, 0 to 1.
    pub sure: Option<f64>,
    /// The least certain verdict on the way to it, in words.
    pub weakest: Option<String>,
    /// Whether the measurement after the repair proved it; none where there was none.
    pub confirmed: Option<bool>,
}

/// One line of the mixture ledger: a ratio, 1 where nothing is off.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LedgerLine {
    /// The cause.
    pub cause: String,
    /// On this car without a fault.
    pub sound: f64,
    /// As measured, where a reading says.
    pub measured: Option<f64>,
}

/// The mixture ledger in one running condition.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LedgerAt {
    /// The condition, in words.
    pub condition: String,
    /// The lines.
    pub lines: Vec<LedgerLine>,
    /// Target lambda.
    pub target: f64,
    /// Points of trim, in percent, that the measured pressure across the injector alone explains.
    pub trim_explained: Option<f64>,
}

/// The same step before and after the repair.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BeforeAfter {
    /// Before.
    pub before: Row,
    /// After.
    pub after: Row,
}

/// A place of the fuel circuit or the induction path, with what was read there.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Station {
    /// The part or place, in words.
    pub name: String,
    /// Whether it is a place between parts, where a gauge sits, and no part.
    pub point: bool,
    /// What was read there, with its verdict, one text a reading.
    pub readings: Vec<String>,
    /// Whether any of them lies outside its band.
    pub off: bool,
}

/// One condition in which both rail pressure and the pressure its reference should follow are known.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SlopePoint {
    /// The condition, in words.
    pub condition: String,
    /// Absolute pressure at the station that the right reference follows, kPa; of the manifold where it is open to air.
    pub at_kpa: f64,
    /// Whether that was measured; otherwise the rig file says.
    pub at_measured: bool,
    /// Rail pressure as read, kPa gauge.
    pub rail_kpa: f64,
    /// Rail pressure this car should have with its reference in the right place, kPa gauge.
    pub right_kpa: f64,
}

/// Rail pressure against the pressure its reference should follow.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Slope {
    /// What stands along the axis, in words.
    pub along: String,
    /// The slope a right reference has: rail pressure per pressure there.
    pub right: f64,
    /// The slope through the readings, by least squares; none where they lie too close together.
    pub measured: Option<f64>,
    /// One a condition.
    pub points: Vec<SlopePoint>,
}

/// Everything a report says.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "findings report")]
pub struct Report {
    /// Version of this shape. Fields may be added; none is renamed.
    pub format: u32,
    /// Whether the car is simulated.
    pub simulated: bool,
    /// Whether it is made from a copy with personal data left out.
    pub shared: bool,
    /// The car's name.
    pub car: String,
    /// The car's facts.
    pub facts: Vec<Fact>,
    /// What is wrong, in the driver's words.
    pub complaint: Option<String>,
    /// The tree's id, title and digest.
    pub tree: [String; 3],
    /// Version of the program that began the case.
    pub program: String,
    /// When the case was begun, RFC 3339.
    pub begun: String,
    /// When it was last added to, RFC 3339.
    pub last: String,
    /// What it comes to.
    pub conclusion: Conclusion,
    /// What the readings set aside, so that no single slip would bring it back.
    pub ruled_out: Vec<RuledOut>,
    /// What they made less likely, but one slip would bring back.
    pub less_likely: Vec<RuledOut>,
    /// Every step in the order of time.
    pub steps: Vec<Row>,
    /// Steps measured both before and after the repair.
    pub before_after: Vec<BeforeAfter>,
    /// What could not be tested; never to be read as passed.
    pub not_tested: Vec<String>,
    /// What could not be put back.
    pub not_put_back: Vec<String>,
    /// What is still changed at the car, of a case that is not at its end.
    pub still_changed: Vec<String>,
    /// The mixture ledger.
    pub ledger: Vec<LedgerAt>,
    /// Odds before and after, most probable first.
    pub odds: Vec<Share>,
    /// Where the odds come from, in words.
    pub odds_from: String,
    /// A warning where nothing explains the readings well.
    pub misfit: Option<String>,
    /// A warning where all that was seen speaks rather for something the end does not name.
    pub against: Option<String>,
    /// Notes that may be shared.
    pub notes: Vec<String>,
    /// Data logs read for the case.
    pub logs: Vec<ReadLog>,
    /// Cautions that stood before what was done, the gravest first.
    pub cautions: Vec<Warned>,
    /// What comes before everything.
    pub first_word: String,
    /// Why the regulator's reference belongs where it does.
    pub reference: String,
    /// The fuel circuit in the order the fuel flows.
    pub circuit: Vec<Station>,
    /// The induction path in the order the air flows.
    pub induction: Vec<Station>,
    /// Rail pressure against what its reference follows, where more than one condition was read.
    pub slope: Option<Slope>,
    /// Minutes by the tree's figures.
    pub minutes: f64,
    /// Records in the journal.
    pub records: usize,
    /// Sequences of records whose clock lies before an earlier record's.
    pub clock_back: Vec<u64>,
    /// Digest of the journal's last record.
    pub digest: String,
}

/// The JSON Schema of the JSON form.
pub fn schema() -> schemars::Schema {
    schemars::schema_for!(Report)
}
