//! Accuracy classes, verdicts and likelihoods.
