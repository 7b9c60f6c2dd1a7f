//! One file a rule; the comment that opens the file is the rule's page.

mod loading;

use super::rule::Rule;

macro_rules! rules {
    ($($name:ident),+ $(,)?) => {
        $(mod $name;)+
        const OWN: &[Rule] = &[$($name::RULE),+];
    };
}

rules! {
    answer_unrouted,
    arm_hidden,
    cannot_missing,
    caution_unfounded,
    cautions_missing,
    choice_idle,
    claim_unfounded,
    clears_nothing,
    condition_cannot_give,
    condition_first,
    confirm_expects_fault,
    confirm_impossible,
    confirm_missing,
    contradiction,
    crank_flooded,
    depressurised_unproved,
    endless_loop,
    finding_unclaimed,
    finding_unmeasured,
    forbidden_practice,
    forbids_met,
    handover_advice,
    leak_check_unseen,
    left_to_reckon,
    likelihood_differs,
    likelihood_unclaimed,
    limits_absurd,
    limits_crossed,
    limits_too_close,
    load_run_unready,
    makes_missing,
    minutes_absurd,
    needs_unmet,
    nothing_claimed,
    one_action,
    one_name,
    parts_without_pressure,
    pinch_without_return,
    places_unfit,
    reading_unsaid,
    reference_hose_look,
    repair_unseen,
    requires_missing,
    requires_unmet,
    run_after_leak,
    run_with_open_line,
    said_twice,
    sentence_length,
    signal_word,
    start_before_leak_check,
    starts_with_verb,
    state_against_condition,
    tell_length,
    tool_cannot_read,
    undo_endless,
    undo_fails,
    undo_missing,
    undo_unused,
    unreachable,
    vague_word,
    verdict_impossible,
    verdict_unrouted,
    volume_test,
    volume_test_without_gauge,
    wait_without_timer,
    was_never,
}

/// Every rule, those of loading first.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    loading::ALL.iter().chain(OWN)
}

/// The rule called `id`.
pub fn find(id: &str) -> Option<&'static Rule> {
    all().find(|r| r.id == id)
}
