"""Answers of a class marked: scores, what each play showed, what was misread, and what to teach next."""
