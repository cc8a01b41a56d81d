"""The lines of a file, whatever wrote it: text in any usual encoding, or a workbook's cells."""
