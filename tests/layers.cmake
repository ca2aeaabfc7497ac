handlot_test(core LAYERS core)
handlot_test(input LAYERS input)
handlot_test(calendar LAYERS calendar)
handlot_test(graph LAYERS graph)
