//! Names, resolved to public addresses alone.

use reqwest::dns::{Addrs, Name, Resolve, Resolving};

use crate::is_public;

/// A name that leads to no public address.
#[derive(Debug, thiserror::Error)]
#[error("the name leads to no public address")]
pub struct NotPublic;

/// Resolves names to their public addresses alone; to none it is [`NotPublic`].
///
/// A literal address is not resolved, so it has to be looked at beforehand:
/// [`literal_address`](crate::literal_address).
#[derive(Debug, Clone, Copy)]
pub struct PublicResolver;

impl Resolve for PublicResolver {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let public: Vec<_> = found.filter(|address| is_public(address.ip())).collect();
            if public.is_empty() {
                return Err(NotPublic.into());
            }
            let addresses: Addrs = Box::new(public.into_iter());
            Ok(addresses)
        })
    }
}
