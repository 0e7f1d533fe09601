//! Who may be drawn, how many, and that a draw can be made again.

use super::*;

#[test]
fn visibly_defective_unseen_newer_and_drawn_heads_are_refused_with_the_reason() {
    let said = [
        BEGIN,
        r#""seen":"mill/1.1..2.8""#,
        r#""saw":{"head":"mill/1.2","sign":"paint","part":"element","extent":"full"}"#,
        r#""unsure":{"head":"mill/1.3","why":"too-far"}"#,
        r#""did":{"head":"mill/1.4","did":"replaced","kind":"new-link"}"#,
        LOT,
        r#""drawn":{"lot":"links","way":"by-hand","eligible":20,"asked":4,"picks":[{"head":"mill/1.1","kind":"old-link","tag":"links-1"}]}"#,
    ];
    let state = of(&said);
    let lot = only(&state);
    let found = eligible(&state, &lot, false);
    let why = |address: &str| {
        found.refused.iter().find(|r| r.head == at(&state, address)).map(|r| (r.why, r.clause.as_str()))
    };
    assert_eq!(why("mill/1.1"), Some((Why::Drawn, "")));
    assert_eq!(why("mill/1.2"), Some((Why::Defect, "A.5.3.1.1")));
    assert_eq!(why("mill/1.3"), Some((Why::NotJudged, "A.5.3.1.1")));
    assert_eq!(why("mill/1.4"), Some((Why::Newer, "5.3.1.2")));
    assert_eq!(why("mill/3.1"), Some((Why::NotSeen, "A.5.3.1.1")));
    assert_eq!((found.heads.len(), found.refused.len()), (12, 12));
    assert_eq!(eligible(&state, &lot, true).heads.len(), 20);
    let stranger = refusal(&state, &lot, at(&state, "shop/1.1"), true);
    assert_eq!(stranger.map(|r| r.why), Some(Why::Stranger));
    let words = &found.refused.iter().find(|r| r.why == Why::Defect).expect("one").words;
    assert_eq!(words, "a visible defect: paint on the element is to replace; it would condemn the others");
}

#[test]
fn a_replaced_head_that_is_due_by_its_own_day_may_be_drawn() {
    let today_only = of(&[BEGIN, r#""seen":"mill""#, LOT]);
    let lot = only(&today_only);
    // The lot's heads are links of 1971; one replaced today by its like is due in fifty years.
    assert_eq!(eligible(&today_only, &lot, false).heads.len(), 24);
    let mut early = written(&[BEGIN, r#""seen":"yard""#]);
    early.push(entry(3, "2010-05-01T09:00:00-05:00", "ines", "2026", &replaced("yard/1.1")));
    let lot = r#""lot":{"id":"yard","name":"Yard","heads":["yard"]}"#;
    early.push(entry(4, "2026-11-25T09:00:00-05:00", "ines", "2026", lot));
    let state = state(MILL, early);
    // In salt air heads are due after five years (5.3.1.1.2), so the one put in in 2010 is old enough.
    let lot = only(&state);
    assert!(refusal(&state, &lot, at(&state, "yard/1.1"), false).is_none());
}

#[test]
fn a_draw_can_be_repeated_and_lines_and_kinds_take_turns() {
    let state = mill(&[r#""lot":{"id":"all","name":"All","heads":["mill","shop"]}"#]);
    let lot = only(&state);
    let free = eligible(&state, &lot, false).heads;
    assert_eq!(free.len(), 36);
    let mut kinds = lot.kinds.clone();
    kinds.sort_unstable();
    kinds.dedup();
    let one = draw(&state, &free, &kinds, 8, 2026);
    assert_eq!(one, draw(&state, &free, &kinds, 8, 2026));
    assert_ne!(one, draw(&state, &free, &kinds, 8, 2027));
    assert_eq!(one.heads.len(), 8);
    let mut per_line: BTreeMap<(u16, u16), usize> = BTreeMap::new();
    for head in &one.heads {
        let there = state.layout().head(*head).expect("a head");
        *per_line.entry((there.area, there.spot.line)).or_default() += 1;
    }
    // Five lines and eight heads: none gives more than two.
    assert_eq!((per_line.len(), per_line.values().max().copied()), (5, Some(2)), "{per_line:?}");
    // The same from outside: printf '2026 mill/1.1' | sha256sum.
    assert_eq!(rank(2026, "mill/1.1")[..4], [RANK[0], RANK[1], RANK[2], RANK[3]]);
    // With one head asked for, both kinds still stand in the sample.
    let both = draw(&state, &free, &kinds, 1, 7);
    let drawn: std::collections::BTreeSet<_> =
        both.heads.iter().filter_map(|h| state.layout().head(*h)).map(|h| h.kind).collect();
    assert_eq!((both.heads.len(), drawn.len()), (2, 2));
    // A kind that nobody may draw is told.
    let links: Vec<HeadIx> =
        free.iter().copied().filter(|h| state.layout().head(*h).is_some_and(|h| h.kind == kinds[0])).collect();
    assert_eq!(draw(&state, &links, &kinds, 4, 7).missing, vec![kinds[1]]);
}

/// The first bytes that `sha256sum` gives for `2026 mill/1.1`.
const RANK: [u8; 4] = [0x2e, 0x0f, 0x07, 0xdc];

#[test]
fn every_head_is_drawn_about_as_often_as_every_other() {
    let state = mill(&[LOT]);
    let lot = only(&state);
    let mut often = vec![0_u32; 24];
    for seed in 0..3000 {
        for head in draw(&state, &lot.heads, &[], 4, seed).heads {
            often[head.at()] += 1;
        }
    }
    // 3,000 draws of 4 from 24: 500 each; five standard deviations (√(3000·1/6·5/6) = 20.4) are 102.
    assert!(often.iter().all(|n| (398..=602).contains(n)), "{often:?}");
}

#[test]
fn a_sample_grows_to_the_number_of_kinds_and_is_never_larger_than_the_lot() {
    let size =
        |heads: &str| only(&mill(&[&format!(r#""lot":{{"id":"x","name":"X","heads":[{heads}]}}"#)])).outcome.asked;
    assert_eq!(size(r#""mill","shop""#).heads, 4);
    assert_eq!(size(r#""shop/2.6""#).heads, 1);
    assert_eq!((size(r#""yard""#).heads, size(r#""yard","mill/1.1""#).heads), (3, 4));
    assert_eq!(size(r#""mill","shop","annex""#).kinds, 3);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { failure_persistence: None, cases: 64, ..Default::default() })]

    /// Whatever is drawn comes from those that may be drawn, none twice, and as many as asked as far as there are.
    #[test]
    fn a_draw_takes_each_head_at_most_once(seed in 0_u32.., want in 0_u32..40, skip in 0_usize..20) {
        let state = mill(&[LOT]);
        let lot = only(&state);
        let free = &lot.heads[skip..];
        let chosen = draw(&state, free, &lot.kinds[..1], want, seed).heads;
        let unique: std::collections::BTreeSet<_> = chosen.iter().collect();
        proptest::prop_assert_eq!(unique.len(), chosen.len());
        proptest::prop_assert!(chosen.iter().all(|h| free.contains(h)));
        proptest::prop_assert_eq!(chosen.len(), (want.max(1) as usize).min(free.len()));
    }
}

#[test]
fn a_seed_that_drew_for_a_lot_is_told_and_every_draw_by_it_is_found() {
    let by = |seed: u32, head: &str, tag: u32| {
        format!(
            r#""drawn":{{"lot":"links","way":"random","seed":{seed},"eligible":24,"asked":4,"picks":[{{"head":"{head}","kind":"old-link","tag":"links-{tag}"}}]}}"#
        )
    };
    let state = mill(&[LOT, &by(7, "mill/1.1", 1), &by(8, "mill/1.2", 2), &by(7, "mill/1.3", 3)]);
    let lot = only(&state);
    assert_eq!([7, 8, 9].map(|seed| lot.draws_by(&state, seed).len()), [2, 1, 0]);
    assert!(lot.seed_taken(&state, 8).is_some_and(|w| w.contains("seed 8") && w.contains("2026-11-25")));
    assert_eq!(lot.seed_taken(&state, 9), None);
}

#[test]
fn a_sample_beyond_the_end_of_its_table_says_so() {
    let set = crate::rules::builtin::load("en12845").expect("a built-in set");
    let table = set.duties.samples.iter().find(|r| r.rules).expect("a reading");
    // EN 12845:2015 Table K.1 ends at 40,000 heads.
    assert_eq!((table.beyond(40_000), table.size(40_000)), (None, 100));
    assert!(table.beyond(40_001).is_some_and(|w| w.contains("ends at 40000 heads")));
    let others = set.duties.samples.iter().filter(|r| r.beyond(u32::MAX).is_some()).map(|r| r.id.as_str());
    assert_eq!(others.collect::<Vec<_>>(), ["table-k1", "table-k1-each-kind"]);
}
