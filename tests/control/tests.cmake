nestcup_test(control LABELS daemon LIBRARIES nestcup_control nestcup_client TIMEOUT 180)
