"""The application behind a web server: page, gate and sessions."""
