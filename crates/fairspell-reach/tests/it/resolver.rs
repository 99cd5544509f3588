use fairspell_reach::{NotPublic, PublicResolver};
use reqwest::dns::Resolve;

/// RFC 6761, section 6.3: this name is this machine, wherever one asks.
#[tokio::test]
async fn a_name_that_leads_into_the_house_leads_nowhere() {
    let found = PublicResolver.resolve("localhost".parse().unwrap()).await;
    assert!(found.err().unwrap().is::<NotPublic>());
}
