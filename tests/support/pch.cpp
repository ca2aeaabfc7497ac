// pch.cpp: empty on purpose. The precompiled header needs a source that uses it, and main.cpp must not.
