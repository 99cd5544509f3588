//! Fetches forecasts, warnings and radar politely, and remembers what it fetched.
