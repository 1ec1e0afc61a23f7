"""What is told in a sentence of wishes, quiet hours, reminders and days of every week, read in five languages."""
