nestcup_test(chemistry LABELS quick LIBRARIES nestcup_chemistry)
