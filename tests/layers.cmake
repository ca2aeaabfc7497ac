handlot_test(core LAYERS core)
