nestcup_test(drivers LABELS quick LIBRARIES nestcup_drivers)
