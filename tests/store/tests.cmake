nestcup_test(store LABELS quick LIBRARIES nestcup_store)
