//! What a reading is worth: the accuracy of the instrument it was taken with, the verdict against limits, and how
//! likely the reading is for a car that should read something else.
//!
//! Why it exists: a number from a gauge is not the quantity itself, and a verdict that ignores the gauge sends parts to
//! the bin. In: readings, limits and instruments, all in SI. Out: an [`Uncertainty`], a [`Judgement`] after
//! JCGM 106:2012, [`Advice`] on what would decide an undecided one, and log likelihoods in which all readings of one
//! gauge share its unknown bias.
//!
//! This room knows no fuel system, no tree, no fault and no file: it is told what is expected and never works it out.

mod accuracy;
mod advice;
mod device;
mod likelihood;
mod normal;
mod risk;
mod verdict;

pub use accuracy::{Accuracy, AccuracyError, AsmeGrade, En837Class};
pub use advice::{Advice, advise, uncertainty_that_decides};
pub use device::{Instrument, InstrumentError, Range, Uncertainty};
pub use likelihood::{Sample, Seen, SharedBias, log_likelihood};
pub use normal::{cdf, density, log_cdf, quantile};
pub use risk::{GlobalRisk, VerdictOdds, false_accept_at_limit, global_risk, guarded_limit, verdict_odds};
pub use verdict::{CONFIDENCE, Judgement, LimitError, Verdict, check_limits, judge, judge_seen};
