"""Price books as files: folders, JSON, workbooks and zips, read and written."""
