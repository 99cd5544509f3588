//! The studio's pages and the family's page.
