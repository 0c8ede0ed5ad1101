nestcup_test(matter LABELS quick LIBRARIES nestcup_matter)
