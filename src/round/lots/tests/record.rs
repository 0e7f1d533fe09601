//! What entries about lots mean as the record grows, is corrected, or is judged by another set.

use super::*;

#[test]
fn a_head_found_after_its_lot_was_formed_does_not_belong_to_it_and_one_removed_since_does() {
    let added = r#""added":{"head":"mill/1.9","kind":"old-link"}"#;
    let removed = r#""removed":{"head":"mill/1.8"}"#;
    let later = only(&mill(&[LOT, added, removed]));
    let earlier = only(&mill(&[added, removed, LOT]));
    assert_eq!((later.heads.len(), earlier.heads.len()), (24, 24));
    assert_ne!(later.heads, earlier.heads);
}

#[test]
fn a_kind_corrected_later_was_so_when_the_lot_was_formed_and_a_replacement_was_not() {
    let corrected = r#""is_kind":{"head":"mill/1.2","kind":"new-link"}"#;
    let kinds = |said: &[&str]| {
        let state = mill(said);
        let lot = only(&state);
        let at = lot.heads.iter().position(|h| *h == at(&state, "mill/1.2")).expect("a head");
        state.register().kind(lot.kinds[at]).expect("a kind").id.clone()
    };
    assert_eq!(kinds(&[LOT, corrected]), "new-link");
    assert_eq!(kinds(&[LOT, &replaced("mill/1.2")]), "old-link");
    assert_eq!(kinds(&[&replaced("mill/1.2"), LOT]), "new-link");
    assert_eq!(kinds(&[LOT, &replaced("mill/1.2"), corrected]), "old-link");
}

#[test]
fn another_set_that_judges_the_same_record_judges_its_tests_too() {
    use crate::diag::Source;
    use crate::rules::{builtin, judge::Judge};
    use crate::trade::register_text;
    // Slow by the limit of 350 of 2023; the edition of 2014 tabulates none (limits stand in its annex from 2020 on).
    let late = r#""element":"141 s","clear":"141.2 s""#;
    let mut said: Vec<String> = vec![LOT.to_owned(), self::drawn(&FOUR)];
    said.extend(FOUR.iter().map(|h| tested(h, late)));
    let all: Vec<&str> = std::iter::once(BEGIN).chain(ALL_SEEN).chain(said.iter().map(String::as_str)).collect();
    let state = of(&all);
    for name in ["nfpa25-2014", "en12845"] {
        let set = builtin::load(name).expect("a built-in set");
        let (register, _) = register_text::read(&Source::new("mill", MILL));
        let register = register.expect("a register");
        let judge = Judge::new(std::sync::Arc::clone(&set), &register.recalled);
        let folded = State::fold(register, written(&all), judge, None);
        assert_eq!(picture(&state.rejudged(set, name)), picture(&folded), "{name}");
    }
    assert_eq!(only(&state).outcome.stage, Stage::Condemned);
}

#[test]
fn what_an_entry_says_of_lots_is_checked_against_the_site() {
    let said = [
        LOT,
        LOT,
        r#""drawn":{"lot":"other","way":"random","seed":1,"eligible":1,"asked":1,"picks":[]}"#,
        r#""drawn":{"lot":"links","way":"random","eligible":1,"asked":1,"picks":[{"head":"mill/9.9","kind":"old-link","tag":"x"}]}"#,
        r#""tested":{"lot":"links","head":"mill/1.1","readings":{}}"#,
        r#""lot":{"id":"ghost","name":"Ghost","heads":["attic"]}"#,
    ];
    let problems: Vec<String> = mill(&said).problems().iter().map(|p| p.why.clone()).collect();
    assert_eq!(
        problems,
        [
            "a lot named 'links' exists already",
            "no lot is called 'other'",
            "it says chance chose and names no seed, so that nobody can draw it again",
            "'mill/9.9' is not in the register",
            "'mill/1.1' was not drawn for lot 'links': draw it by hand first",
            "'attic' is not in the register",
        ]
    );
}
