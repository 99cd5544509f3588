//! What a browser would send of a form that nobody touched.

/// The fields of the form with this action, as name and value; `form_word` left out.
pub(crate) fn fields_of(page: &str, action: &str) -> Vec<(String, String)> {
    let start = page.find(&format!("action=\"{action}\"")).expect("the form is on the page");
    let form = &page[start..];
    let form = &form[..form.find("</form>").expect("the form ends")];
    let mut fields = Vec::new();
    let mut rest = form;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let tag = &rest[..rest.find('>').expect("the tag ends")];
        let name = attribute(tag, "name").filter(|name| name != "form_word");
        let Some(name) = name else { continue };
        match tag.split_whitespace().next() {
            Some("input") => {
                let kind = attribute(tag, "type").unwrap_or_default();
                let is_box = kind == "checkbox" || kind == "radio";
                let is_sent = kind != "file" && (!is_box || tag.contains(" checked"));
                if is_sent {
                    fields.push((name, attribute(tag, "value").unwrap_or_default()));
                }
            }
            Some("textarea") => {
                let text = &rest[tag.len() + 1..];
                let text = &text[..text.find("</textarea>").expect("the text area ends")];
                fields.push((name, unescaped(text.strip_prefix('\n').unwrap_or(text))));
            }
            Some("select") => {
                let options = &rest[..rest.find("</select>").expect("the select ends")];
                let chosen = options
                    .split("<option")
                    .skip(1)
                    .find(|option| option.contains(" selected"))
                    .or_else(|| options.split("<option").nth(1));
                fields.extend(chosen.and_then(|tag| Some((name, attribute(tag, "value")?))));
            }
            _ => {}
        }
    }
    fields
}

fn attribute(tag: &str, name: &str) -> Option<String> {
    let value = tag.split_once(&format!(" {name}=\""))?.1;
    Some(unescaped(&value[..value.find('"')?]))
}

fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}
