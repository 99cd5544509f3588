//! Ids for files and addresses, made of what something is called.

/// No id is longer than this, bytes, before the number that makes it the only one.
const LONGEST: usize = 40;

/// An id of small letters, digits and hyphens out of a name, the only one of its kind.
///
/// - `name`: in any script. Where nothing of it can be spelled in small letters the id is `otherwise`.
/// - `is_taken`: whether an id is somebody else's; then a number is added.
pub(crate) fn spelled_id(name: &str, otherwise: &str, is_taken: impl Fn(&str) -> bool) -> String {
    let spelled = spelled(name);
    let plain = if spelled.is_empty() { otherwise.to_owned() } else { spelled };
    let (mut id, mut number) = (plain.clone(), 1_u64);
    while is_taken(&id) {
        number += 1;
        id = format!("{plain}-{number}");
    }
    id
}

fn spelled(name: &str) -> String {
    let letters: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let mut id = letters.split('-').filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
    id.truncate(LONGEST);
    id.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::spelled_id;

    fn check(name: &str, taken: &[&str], expected: &str) {
        assert_eq!(spelled_id(name, "spot", |id| taken.contains(&id)), expected, "{name}");
    }

    #[test]
    fn ids_are_spelled_from_names_and_stay_the_only_ones() {
        check("Warm Stone Steps", &[], "warm-stone-steps");
        check("  Cannery / Arcade (roof) ", &[], "cannery-arcade-roof");
        check("Pier 3", &["pier-3"], "pier-3-2");
        check("Pier 3", &["pier-3", "pier-3-2"], "pier-3-3");
    }

    #[test]
    fn names_in_any_script_get_a_number() {
        check("灯台", &[], "spot");
        check("灯台", &["spot"], "spot-2");
        check("\u{202e}", &[], "spot");
        check("منارة", &["spot", "spot-2"], "spot-3");
    }

    #[test]
    fn a_long_name_makes_a_short_id() {
        let id = spelled_id(&"Lighthouse ".repeat(20), "spot", |_| false);
        assert_eq!(id, "lighthouse-lighthouse-lighthouse-lightho");
    }
}
