mod encryption;
mod request;
mod send;
mod subscription;
mod vapid;
