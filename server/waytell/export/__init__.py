"""What goes out of the house: tables, the record as a file, the turned section as a drawing, a printed report.

Pure: a `Record` in, text out. Whoever asks brings the time. A doubtful pass is marked as such in each of them.
"""
