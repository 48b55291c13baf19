// Also compiles a function for wider vectors, the processor's own chosen at run time (g++ on x86-64 Linux).
// The results differ by nothing where sums keep their order and products are not contracted.
#pragma once

#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__linux__) &&                 \
    defined(__OPTIMIZE__) && !defined(__SANITIZE_ADDRESS__)
#define TQ_FOR_EVERY_PROCESSOR __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define TQ_FOR_EVERY_PROCESSOR
#endif
