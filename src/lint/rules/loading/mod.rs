//! What the loader and the library refuse before any rule sees a file: a page for each, so that `check --explain` knows all.

use crate::lint::rule::Rule;

macro_rules! pages {
    ($($name:ident),+ $(,)?) => {
        $(mod $name;)+
        /// Every one, in the order of their ids.
        pub(super) const ALL: &[Rule] = &[$($name::RULE),+];
    };
}

pages! {
    anchor,
    bad_confirm,
    bad_id,
    bad_likelihood,
    bad_quantity,
    bad_undo,
    dangling_target,
    duplicate_key,
    empty_condition,
    exit_not_routed,
    file_kind,
    file_too_large,
    format,
    hidden_character,
    id_taken,
    include_circle,
    include_depth,
    include_path,
    key_is_no_text,
    missing_key,
    no_such_exit,
    no_such_file,
    not_a_procedure,
    not_a_tree,
    not_utf_8,
    nul_in_text,
    several_documents,
    step_kind,
    stray_key,
    tag,
    too_deep,
    too_many_steps,
    unknown_key,
    unknown_term,
    unreadable,
    unsafe_include,
    wrong_shape,
    yaml,
}
