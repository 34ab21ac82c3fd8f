// Loops that are worth the processor's wider registers where it has them. Without fused multiplication, so
// that every processor gives the same digits.
#pragma once

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__)
#define THRESH_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define THRESH_WIDE
#endif
