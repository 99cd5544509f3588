//! Tells the photographer: e-mail and web push.
