nestcup_test(base LABELS quick LIBRARIES nestcup_base)
