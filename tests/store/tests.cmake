nestcup_test(store LABELS quick LIBRARIES nestcup_store)
nestcup_test(store/faults LABELS full TIMEOUT 300 LIBRARIES nestcup_store)
