nestcup_test(sheet LABELS quick LIBRARIES nestcup_sheet)
