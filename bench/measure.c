/* What C reaches on this machine: streams with stores past the caches, the C library's copy and fill, and one load after
 * another through all lines in random order. Each thread is pinned and has arrays of its own; time is taken inside the
 * threads, from the first start to the last end.
 * Build: gcc -O3 -march=native -pthread measure.c -o measure.  Run: ./measure THREADS MIB RUNS */
#define _GNU_SOURCE
#include <immintrin.h>
#include <pthread.h>
#include <sched.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <time.h>

enum { READ, WRITE, COPY, TRIAD, MEMCPY, MEMSET, KINDS };
static const char *names[KINDS] = {"read", "write", "copy", "triad", "memcpy", "memset"};
static const int moved[KINDS] = {8, 8, 16, 24, 16, 8};
static size_t count;
static int threads, runs, passes;
static pthread_barrier_t barrier;
static double (*starts)[256], (*ends)[256];
static volatile double sink;

static double now(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return t.tv_sec + t.tv_nsec * 1e-9;
}

static double *array(void) {
  size_t huge = 2u << 20, bytes = count * 8;
  char *base = mmap(0, bytes + huge, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (base == MAP_FAILED) exit(2);
  char *start = (char *)(((uintptr_t)base + huge - 1) / huge * huge);
  madvise(start, bytes, MADV_HUGEPAGE);
  double *a = (double *)start;
  for (size_t i = 0; i < count; i++) a[i] = 1.5;
  return a;
}

static void pass(int kind, double *a, const double *b, const double *c) {
  const __m256d three = _mm256_set1_pd(3.0), value = _mm256_set1_pd(2.5);
  __m256d s0 = three, s1 = three, s2 = three, s3 = three;
  switch (kind) {
  case READ:
    for (size_t i = 0; i < count; i += 16) {
      s0 = _mm256_add_pd(s0, _mm256_load_pd(b + i));
      s1 = _mm256_add_pd(s1, _mm256_load_pd(b + i + 4));
      s2 = _mm256_add_pd(s2, _mm256_load_pd(b + i + 8));
      s3 = _mm256_add_pd(s3, _mm256_load_pd(b + i + 12));
    }
    sink = _mm256_cvtsd_f64(_mm256_add_pd(_mm256_add_pd(s0, s1), _mm256_add_pd(s2, s3)));
    break;
  case WRITE:
    for (size_t i = 0; i < count; i += 4) _mm256_stream_pd(a + i, value);
    _mm_sfence();
    break;
  case COPY:
    for (size_t i = 0; i < count; i += 4) _mm256_stream_pd(a + i, _mm256_load_pd(b + i));
    _mm_sfence();
    break;
  case TRIAD:
    for (size_t i = 0; i < count; i += 4)
      _mm256_stream_pd(a + i, _mm256_add_pd(_mm256_load_pd(b + i), _mm256_mul_pd(three, _mm256_load_pd(c + i))));
    _mm_sfence();
    break;
  case MEMCPY: memcpy(a, b, count * 8); break;
  case MEMSET: memset(a, 1, count * 8); break;
  }
}

static void pin(int cpu) {
  cpu_set_t set;
  CPU_ZERO(&set);
  CPU_SET(cpu, &set);
  sched_setaffinity(0, sizeof set, &set);
}

static void *work(void *arg) {
  int me = (int)(intptr_t)arg;
  pin(me);
  double *a = array(), *b = array(), *c = array();
  for (int kind = 0; kind < KINDS; kind++)
    for (int run = -1; run < runs; run++) {
      pthread_barrier_wait(&barrier);
      double start = now();
      for (int p = 0; p < passes; p++) pass(kind, a, b, c);
      double end = now();
      if (run >= 0) starts[kind * runs + run][me] = start, ends[kind * runs + run][me] = end;
    }
  return 0;
}

static int by_size(const void *a, const void *b) { return (*(double *)a > *(double *)b) - (*(double *)a < *(double *)b); }

static uint64_t state = 1;
static uint64_t below(uint64_t bound) {
  state = state * 6364136223846793005u + 1442695040888963407u;
  return (unsigned __int128)(state ^ state >> 29) * bound >> 64;
}

static void chase(void) {
  pin(0);
  uint64_t *words = (uint64_t *)array();
  size_t lines = count / 8, steps = 4000000;
  for (size_t i = 0; i < lines; i++) words[i * 8] = i * 8;
  for (size_t i = lines - 1; i > 0; i--) {
    size_t j = below(i);
    uint64_t keep = words[i * 8];
    words[i * 8] = words[j * 8], words[j * 8] = keep;
  }
  double all[256];
  uint64_t at = 0;
  for (int run = -1; run < runs; run++) {
    double start = now();
    for (size_t i = 0; i < steps; i++) at = words[at];
    double ns = (now() - start) * 1e9 / steps;
    sink = at;
    if (run >= 0) all[run] = ns;
  }
  qsort(all, runs, sizeof *all, by_size);
  printf("latency %.2f %.2f\n", all[runs / 2], all[0]);
}

int main(int n, char **args) {
  if (n != 4) return 2;
  threads = atoi(args[1]), count = (size_t)atol(args[2]) << 17, runs = atoi(args[3]);
  if (threads < 1 || threads > 256 || runs < 1 || runs > 256) return 2;
  passes = (int)(0.04 / (count * 8 / 10e9));
  if (passes < 1) passes = 1;
  starts = calloc(KINDS * runs, sizeof *starts), ends = calloc(KINDS * runs, sizeof *ends);
  pthread_barrier_init(&barrier, 0, threads);
  pthread_t ids[256];
  for (int i = 0; i < threads; i++) pthread_create(&ids[i], 0, work, (void *)(intptr_t)i);
  for (int i = 0; i < threads; i++) pthread_join(ids[i], 0);
  for (int kind = 0; kind < KINDS; kind++) {
    double all[256];
    for (int run = 0; run < runs; run++) {
      double first = 1e300, last = 0;
      for (int i = 0; i < threads; i++) {
        if (starts[kind * runs + run][i] < first) first = starts[kind * runs + run][i];
        if (ends[kind * runs + run][i] > last) last = ends[kind * runs + run][i];
      }
      all[run] = (double)moved[kind] * count * passes * threads / (last - first) / 1e9;
    }
    qsort(all, runs, sizeof *all, by_size);
    printf("%s %.2f %.2f\n", names[kind], all[runs / 2], all[runs - 1]);
  }
  chase();
  return 0;
}
