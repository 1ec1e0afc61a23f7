"""The voices: Telegram and the terminal."""
