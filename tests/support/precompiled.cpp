// Makes the precompiled header that every test program shares; main.cpp cannot, since it defines the runner.
