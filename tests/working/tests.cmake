nestcup_test(working LABELS quick LIBRARIES nestcup_working)
