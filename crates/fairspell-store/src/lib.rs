//! Keeps the studio in a database and a folder.
