use super::*;
use crate::card::sample::all;
use crate::card::{WorkedPart, WorkedStep};
use crate::dressing::{Way, When};
use crate::measure::Unit;
use crate::why::Standing;

fn told(then: &Card, now: &Card) -> Vec<String> {
    differs(then, now).iter().map(ToString::to_string).collect()
}

fn sample() -> Card {
    all().into_iter().next().unwrap().1
}

fn step(text: &str, ties: &[usize], winds: &[usize]) -> WorkedStep {
    WorkedStep { when: When::AtTheVice, ties: ties.to_vec(), winds: winds.to_vec(), text: text.to_owned(), time: None, dries: None }
}

#[test]
fn a_card_does_not_differ_from_itself() {
    for (name, card) in all() {
        assert_eq!(told(&card, &card.clone()), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn what_is_most_telling_comes_first() {
    let then = sample();
    let mut now = then.clone();
    now.revision += 1;
    now.silk = "another silk".to_owned();
    let gone = now.parts.pop().unwrap();
    let turned = &mut now.parts[0];
    turned.shape.upright = !turned.shape.upright;
    turned.material = "another stuff".to_owned();
    for step in &mut now.steps {
        step.ties.retain(|part| *part < now.parts.len());
        step.winds.retain(|part| *part < now.parts.len());
    }
    let all = differs(&then, &now);
    assert!(all.is_sorted_by_key(|difference| difference.topic), "{all:#?}");
    let text = told(&then, &now);
    assert_eq!(text[0], format!("revision: {} -> {}", then.revision, now.revision));
    assert_eq!(text[1], format!("silk: {} -> another silk", then.silk));
    assert!(text[2].ends_with(", material: sample -> another stuff"), "{text:#?}");
    assert_eq!(text[3], format!("{}: gone (sample, {})", gone.name, gone.way.word()));
    assert!(text[4].contains(", stands: "), "{text:#?}");
}

#[test]
fn a_figure_is_told_with_as_many_decimals_as_it_takes() {
    let card = |mm: f64| {
        let mut card = sample();
        let fig = card.sheet.given("tag.length", mm, Unit::Mm, Standing::Stated, "here");
        card.parts.push(WorkedPart { name: "tag".to_owned(), length: Some(fig), ..crate::card::sample::part("tag", Way::Bunch, fig) });
        card
    };
    assert_eq!(told(&card(5.0), &card(6.0)), ["tag.length: 5.0 mm -> 6.0 mm"]);
    assert_eq!(told(&card(5.01), &card(5.013)), ["tag.length: 5.010 mm -> 5.013 mm"]);
    assert_eq!(told(&card(5.0), &card(5.0 + 1e-9)), Vec::<String>::new());
    assert_eq!(differs(&card(5.0), &card(6.0))[0].topic, Topic::Figure);
}

#[test]
fn steps_are_set_against_each_other_in_their_order() {
    let then = Card { steps: vec![step("Start.", &[], &[]), step("Tie in.", &[0], &[]), step("Wind.", &[], &[0]), step("Whip off.", &[], &[])], ..sample() };
    let mut now = then.clone();
    now.steps.remove(0);
    now.steps[1].text = "Wind it close.".to_owned();
    assert_eq!(told(&then, &now), ["step 1: gone (Start.)", "step 3, now 2: Wind. -> Wind it close."]);
    now.steps.insert(2, step("Tie in the other.", &[1], &[]));
    assert!(told(&then, &now).contains(&"step 3: new (Tie in the other.)".to_owned()), "{:#?}", told(&then, &now));
    now.steps = then.steps.clone();
    now.steps[3].when = When::After;
    assert_eq!(told(&then, &now), ["step 4: Whip off. -> off the vice: Whip off."]);
}

#[test]
fn no_differing_words_command_a_terminal() {
    let then = sample();
    let now = Card { silk: "a\u{1b}[2Jb".to_owned(), ..then.clone() };
    assert!(told(&then, &now).iter().all(|line| !line.chars().any(char::is_control)));
}
