//! What can be wrong with a table, with evidence, and with a question asked of them.

use std::fmt;

/// One thing wrong with a table.
#[derive(Debug, Clone, PartialEq)]
pub enum TableError {
    /// Not the JSON of a table.
    Json {
        /// What the reader says, with line and column.
        message: String,
    },
    /// No faults.
    NoFaults,
    /// An id that is empty or holds control characters.
    BadId {
        /// What it names: fault, test or outcome.
        kind: &'static str,
        /// The id, made visible.
        id: String,
    },
    /// An id that stands twice.
    Twice {
        /// What it names.
        kind: &'static str,
        /// The id.
        id: String,
        /// Where: empty, or the test it belongs to.
        within: String,
    },
    /// A prior that is not above zero.
    BadPrior {
        /// The fault.
        fault: String,
        /// The prior.
        prior: f64,
    },
    /// Priors that do not sum to one.
    PriorSum {
        /// Their sum.
        sum: f64,
    },
    /// A cost that is not above zero.
    BadCost {
        /// The test.
        test: String,
        /// The cost.
        cost: f64,
    },
    /// A test without outcomes.
    NoOutcomes {
        /// The test.
        test: String,
    },
    /// A fault without a row in a test.
    NoRow {
        /// The test.
        test: String,
        /// The fault.
        fault: String,
    },
    /// A row for a fault that is not in the table.
    StrayRow {
        /// The test.
        test: String,
        /// The id of the row.
        fault: String,
        /// The nearest fault, if any is near.
        near: Option<String>,
    },
    /// A row with too many or too few numbers.
    RowSize {
        /// The test.
        test: String,
        /// The fault.
        fault: String,
        /// Numbers found.
        found: usize,
        /// Outcomes of the test.
        expected: usize,
    },
    /// A number that is no probability.
    BadProbability {
        /// The test.
        test: String,
        /// The fault.
        fault: String,
        /// The number.
        value: f64,
    },
    /// A row that does not sum to one.
    RowSum {
        /// The test.
        test: String,
        /// The fault.
        fault: String,
        /// Its sum.
        sum: f64,
    },
}

impl fmt::Display for TableError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Json { message } => write!(
                f,
                "expected a table {{\"faults\": [...], \"tests\": [...]}}, found something else: {message}"
            ),
            Self::NoFaults => write!(f, "expected at least one fault, found none"),
            Self::BadId { kind, id } => {
                write!(
                    f,
                    "a {kind} has the id '{id}'; ids hold at least one character and no control characters"
                )
            }
            Self::Twice { kind, id, within } if within.is_empty() => {
                write!(f, "the {kind} '{id}' stands twice; each id stands once")
            }
            Self::Twice { kind, id, within } => {
                write!(f, "test '{within}': the {kind} '{id}' stands twice; each stands once")
            }
            Self::BadPrior { fault, prior } => {
                write!(
                    f,
                    "fault '{fault}': expected a prior above 0, found {prior}; leave out a fault that can't be"
                )
            }
            Self::PriorSum { sum } => write!(f, "the priors sum to {sum}, expected 1"),
            Self::BadCost { test, cost } => {
                write!(f, "test '{test}': expected a cost above 0, found {cost}")
            }
            Self::NoOutcomes { test } => write!(f, "test '{test}' has no outcomes; give at least one"),
            Self::NoRow { test, fault } => {
                write!(f, "test '{test}' has no row for fault '{fault}'; every fault needs one")
            }
            Self::StrayRow { test, fault, near } => {
                write!(f, "test '{test}' has a row for '{fault}', which is no fault of this table")?;
                match near {
                    Some(near) => write!(f, "; did you mean '{near}'?"),
                    None => Ok(()),
                }
            }
            Self::RowSize { test, fault, found, expected } => write!(
                f,
                "test '{test}', fault '{fault}': expected {expected} probabilities, one an outcome, found {found}"
            ),
            Self::BadProbability { test, fault, value } => {
                write!(f, "test '{test}', fault '{fault}': {value} is no probability; expected 0 to 1")
            }
            Self::RowSum { test, fault, sum } => {
                write!(f, "test '{test}', fault '{fault}': the probabilities sum to {sum}, expected 1")
            }
        }
    }
}

impl std::error::Error for TableError {}

/// Why evidence is not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EvidenceError {
    /// Not of the form TEST=OUTCOME.
    Form {
        /// The text as found.
        found: String,
    },
    /// A test the table does not have.
    UnknownTest {
        /// The id as found.
        found: String,
        /// The nearest test, if any is near.
        near: Option<String>,
        /// The tests it has.
        tests: Vec<String>,
    },
    /// An outcome the test does not have.
    UnknownOutcome {
        /// The test.
        test: String,
        /// The outcome as found.
        found: String,
        /// The outcomes it has.
        outcomes: Vec<String>,
    },
    /// Two outcomes for one test.
    Twice {
        /// The test.
        test: String,
    },
    /// No fault of the table can show all of it.
    Impossible {
        /// The first piece that contradicts those before it, as TEST=OUTCOME.
        piece: String,
    },
}

impl fmt::Display for EvidenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Form { found } => {
                write!(f, "expected evidence as TEST=OUTCOME, found '{found}'; write it like pressure=low")
            }
            Self::UnknownTest { found, near, tests } => {
                write!(f, "the table has no test '{found}'; ")?;
                if let Some(near) = near {
                    write!(f, "did you mean '{near}'? ")?;
                }
                write!(f, "it has {}", tests.join(", "))
            }
            Self::UnknownOutcome { test, found, outcomes } => {
                write!(f, "test '{test}' has no outcome '{found}'; it has {}", outcomes.join(", "))
            }
            Self::Twice { test } => write!(f, "test '{test}' is given twice; each test counts once"),
            Self::Impossible { piece } => write!(
                f,
                "the evidence is impossible: no fault of the table can show '{piece}' with what was given before it; \
                 check the results, or the zeros in the table"
            ),
        }
    }
}

impl std::error::Error for EvidenceError {}

/// Why no cheapest plan is given.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanError {
    /// A test whose outcome is not certain for a fault.
    NotDeterministic {
        /// The test.
        test: String,
        /// The fault.
        fault: String,
    },
    /// More states than memory should hold.
    TooLarge {
        /// The most there may be.
        most: usize,
    },
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotDeterministic { test, fault } => write!(
                f,
                "the optimum needs a deterministic table, every probability 0 or 1; test '{test}' is not certain for \
                 fault '{fault}'"
            ),
            Self::TooLarge { most } => {
                write!(
                    f,
                    "the table is too large for an exact optimum: more than {most} states; leave out faults or tests"
                )
            }
        }
    }
}

impl std::error::Error for PlanError {}

/// Why a table gives no optimum.
#[derive(Debug, Clone, PartialEq)]
pub enum OptimumError {
    /// The evidence can't be.
    Evidence(EvidenceError),
    /// The table allows no exact optimum.
    Plan(PlanError),
}

impl fmt::Display for OptimumError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Evidence(e) => e.fmt(f),
            Self::Plan(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for OptimumError {}

impl From<EvidenceError> for OptimumError {
    fn from(e: EvidenceError) -> Self {
        Self::Evidence(e)
    }
}

impl From<PlanError> for OptimumError {
    fn from(e: PlanError) -> Self {
        Self::Plan(e)
    }
}
