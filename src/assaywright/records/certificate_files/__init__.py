"""Certificates read from files into the form in which a person enters them: what is unambiguous, and nothing guessed.

A file is our own table, a spreadsheet with a column for each quantity, or a digital certificate in XML. Nothing that is
read here is recorded: it fills a form, and a person looks at it and sends it.
"""
