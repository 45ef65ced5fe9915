"""The words of the program in other languages: sentences looked up, catalogues of them, which language is in force."""
