//! The cells of a look's grid by name, and what to say to a sitter for one.

use fairspell_studio::variety::{Cell, Crop, Expression, Orientation, Pose, Prompt};

use crate::text::capital;

/// How much of the body is in a picture.
pub fn crop_name(crop: Crop) -> &'static str {
    match crop {
        Crop::Close => "close",
        Crop::Half => "half",
        Crop::Full => "head to foot",
    }
}

/// What the body does.
pub fn pose_name(pose: Pose) -> &'static str {
    match pose {
        Pose::Stand => "standing",
        Pose::Lean => "leaning",
        Pose::Sit => "sitting",
        Pose::Walk => "walking",
        Pose::OverShoulder => "over the shoulder",
        Pose::Turn => "turning",
        Pose::Hands => "hands and hair",
    }
}

/// What the face does.
pub fn expression_name(expression: Expression) -> &'static str {
    match expression {
        Expression::Smile => "a smile",
        Expression::Soft => "a soft face",
        Expression::Laugh => "a laugh",
        Expression::Away => "eyes away",
    }
}

/// How a picture stands.
pub fn orientation_name(orientation: Orientation) -> &'static str {
    match orientation {
        Orientation::Upright => "upright",
        Orientation::Wide => "wide",
    }
}

/// A cell of the grid: "Close, leaning, a smile, upright".
pub fn cell_name(cell: Cell) -> String {
    capital(&format!(
        "{}, {}, {}, {}",
        crop_name(cell.crop),
        pose_name(cell.pose),
        expression_name(cell.expression),
        orientation_name(cell.orientation)
    ))
}

/// What to say for a picture that is wanted: a prompt of the core, or the cell's own name.
pub fn prompt_line(prompt: &Prompt) -> String {
    let prompts = prompt.core.and_then(|core| core_cell_prompts(core.id));
    match prompts.and_then(|prompts| prompts.get(prompt.turn).copied()) {
        Some(said) => said.to_owned(),
        None => format!("{}.", cell_name(prompt.cell)),
    }
}

/// What one of the core twelve is called; `None` for an id that is none of them.
///
/// ```
/// assert_eq!(fairspell_words::core_cell_title("full-walk"), Some("Head to foot, walking"));
/// ```
pub fn core_cell_title(id: &str) -> Option<&'static str> {
    core_cell(id).map(|(title, _)| title)
}

/// Two things to say to a sitter for one of the core twelve: short, one change at a time, to be shown
/// rather than arranged by hand. `None` for an id that is none of them.
pub fn core_cell_prompts(id: &str) -> Option<[&'static str; 2]> {
    core_cell(id).map(|(_, prompts)| prompts)
}

fn core_cell(id: &str) -> Option<(&'static str, [&'static str; 2])> {
    Some(match id {
        "close-smile" => (
            "Close, smiling",
            [
                "Think of what you'll eat tonight, then look at me.",
                "Say hello just beside my lens, with your eyes only.",
            ],
        ),
        "close-soft" => (
            "Close, a soft face",
            [
                "Breathe out slowly, and stay where that leaves you.",
                "Look at me as if I'd asked something and you're still thinking.",
            ],
        ),
        "close-laugh" => (
            "Close, laughing",
            [
                "Shake it all out with your eyes shut, and open them on three.",
                "Do the voice of your strictest teacher for us.",
            ],
        ),
        "half-smile-lean" => (
            "Half, leaning, smiling",
            [
                "Lean like I do here: one shoulder, the weight off the front foot.",
                "You've waited ten minutes, and there they come at last.",
            ],
        ),
        "half-away" => (
            "Half, looking away",
            [
                "Find the farthest thing you can see, and tell me its colour.",
                "Listen for the water, and let your eyes go to it.",
            ],
        ),
        "half-sit" => (
            "Half, sitting",
            [
                "Sit right at the edge like this, back long, hands loose.",
                "Elbows on your knees, and tell me what comes after school.",
            ],
        ),
        "full-stand" => (
            "Head to foot, standing",
            [
                "Weight on the back foot like mine, chin forward and a touch down.",
                "Stand as if the place were yours and had just closed.",
            ],
        ),
        "full-walk" => (
            "Head to foot, walking",
            [
                "Walk to me as if you were late and nobody may notice.",
                "Come along that line, look to the side, then at me.",
            ],
        ),
        "full-over-shoulder" => (
            "Head to foot, over the shoulder",
            [
                "Walk away from me; at your name only the head comes back.",
                "Turn your back, now look for your people over this shoulder.",
            ],
        ),
        "full-turn" => (
            "Head to foot, turning",
            [
                "One slow turn like this, and let the cloth come after you.",
                "Turn twice, stop, and let the hair find its own place.",
            ],
        ),
        "wide-space" => (
            "Wide, with room around",
            [
                "You're small in this one: look at the sky and forget me.",
                "Go out to where the light ends, and wait until I wave.",
            ],
        ),
        "hands-detail" => (
            "Hands or a detail",
            [
                "Put right the cuff that needs no putting right.",
                "Both hands through your hair, as slowly as you can.",
            ],
        ),
        _ => return None,
    })
}
