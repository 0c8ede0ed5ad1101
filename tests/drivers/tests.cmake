nestcup_test(drivers/protocol LABELS quick LIBRARIES nestcup_drivers)
nestcup_test(drivers/pty LABELS quick daemon LIBRARIES nestcup_drivers TIMEOUT 120)
nestcup_test(drivers/transducer LABELS quick LIBRARIES nestcup_drivers)
nestcup_test(drivers/faults LABELS quick LIBRARIES nestcup_drivers nestcup_simlib)
