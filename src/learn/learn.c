// SPDX-License-Identifier: MIT
// Learns the weights of the analysis from human analyses; see src/analysis/LEARNING.md.
#include "labels_impl.h"

#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_PIECES   = 1024,
  MAX_GOLDS    = 2048,
  MAX_MEASURES = 512,
  MAX_READINGS = 3,
  N_MEMBERS    = 6,
  PATH_SIZE    = 512,
};

typedef enum { SET_CHORALES, SET_TEXTBOOKS, SET_CHAINS, N_SETS } Set;

/// By what two chords are compared; pitch classes above C, or above the tonic in the word table
typedef struct {
  int degree;
  int quality;
  int inversion;
  int step;
  int root;
  int points_at;
  int applied; ///< Target of a secondary dominant, or -1
} Identity;

typedef struct {
  int      key;
  int      mode;
  Identity chord;
} Reading;

/// A stretch of a human analysis
typedef struct {
  double  start; ///< Quarters
  double  end;
  int     n_readings;
  Reading readings[MAX_READINGS];
} Gold;

typedef struct {
  char     kind[32];
  char     name[64];
  char     path[PATH_SIZE];
  int      fold;
  Gold*    golds;
  int      n_golds;
  int      numbers[MAX_MEASURES];
  double   starts[MAX_MEASURES];
  int      n_measures;
  QfScore* score;
} Piece;

typedef struct {
  Piece    pieces[MAX_PIECES];
  int      n_pieces;
  Identity words[2][QF_N_WORDS][N_MEMBERS];
  int8_t   members[QF_CHORD_N_KINDS][64]; ///< Member so many fifths above the root plus 32, or -1
} Task;

/// How it is learned
typedef struct {
  const char* task;
  const char* weights;
  const char* out;
  const char* folder;
  int         fold; ///< Left out, or -1
  int         epochs;
  float       rate;
  float       decay;
  float       margin;
  float       hope;
  float       lean;      ///< Added to the cost of a change of key in pieces
  float       textbooks; ///< Weight of a textbook passage against a chorale
  float       chains;    ///< Weight of a chain against a chorale
} Options;

/// What the bias of a search must know
typedef struct {
  const Task*      task;
  const Piece*     piece;
  const QfPassage* passage;
  int*             golds;    ///< For each column: the human's stretch, or -1
  float*           quarters; ///< Length of each column
  float            scale;    ///< Times the loss
} Judge;

typedef struct {
  float  weights[QF_N_FEATURES];
  float  squares[QF_N_FEATURES];
  double lagged[QF_N_FEATURES]; ///< Changes times the step at which they came
  double n_steps;
} Learner;

// Reading the task

static bool
read_word(FILE* const file, Task* const task)
{
  int      mode;
  int      entry;
  int      inversion;
  Identity w;

  if (fscanf(file, "%d %d %d %d %d %d %d %d %d %d", &mode, &entry, &inversion, &w.degree,
             &w.quality, &w.inversion, &w.step, &w.root, &w.points_at, &w.applied) != 10) {
    return false;
  }
  task->words[mode][entry][inversion] = w;
  return true;
}

static bool
read_reading(FILE* const file, Gold* const gold)
{
  Reading r;

  if (fscanf(file, "%d %d %d %d %d %d %d %d %d", &r.key, &r.mode, &r.chord.degree, &r.chord.quality,
             &r.chord.inversion, &r.chord.step, &r.chord.root, &r.chord.points_at,
             &r.chord.applied) != 9) {
    return false;
  }
  if (gold->n_readings < MAX_READINGS) {
    gold->readings[gold->n_readings++] = r;
  }
  return true;
}

static bool
read_line(FILE* const file, const char what, Task* const task)
{
  Piece* const piece = task->n_pieces ? &task->pieces[task->n_pieces - 1] : NULL;
  Gold* const  gold  = piece && piece->n_golds ? &piece->golds[piece->n_golds - 1] : NULL;

  switch (what) {
    case 'W':
      return read_word(file, task);
    case 'P': {
      Piece* const next = &task->pieces[task->n_pieces++];

      next->golds = (Gold*)calloc(MAX_GOLDS, sizeof(Gold));
      return next->golds && fscanf(file, "%31s %63s %d %511s", next->kind, next->name, &next->fold,
                                   next->path) == 4;
    }
    case 'M': {
      const int i = piece->n_measures++;

      return fscanf(file, "%d %lf", &piece->numbers[i], &piece->starts[i]) == 2;
    }
    case 'G': {
      Gold* const next = &piece->golds[piece->n_golds++];
      int         n;

      return fscanf(file, "%lf %lf %d", &next->start, &next->end, &n) == 3;
    }
    case 'R':
      return read_reading(file, gold);
    default:
      return false;
  }
}

static void
fill_members(Task* const task)
{
  memset(task->members, -1, sizeof(task->members));
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    for (int m = 0; m < qf_chord_kind_size((QfChordKind)k); ++m) {
      task->members[k][qf_member_fifths((QfChordKind)k, m) + 32] = (int8_t)m;
    }
  }
}

static bool
read_task(const char* const path, Task* const task)
{
  FILE* const file = fopen(path, "r");
  char        what;

  if (!file) {
    return false;
  }
  while (fscanf(file, " %c", &what) == 1) {
    if (!read_line(file, what, task)) {
      fclose(file);
      return false;
    }
  }
  fclose(file);
  fill_members(task);

  for (int i = 0; i < task->n_pieces; ++i) {
    void*   data   = NULL;
    size_t  length = 0;
    QfError error  = {0};

    if (qf_file_read(task->pieces[i].path, &data, &length, &error) ||
        qf_musicxml_read(data, length, &task->pieces[i].score, NULL, &error)) {
      fprintf(stderr, "%s: %s\n", task->pieces[i].path, error.text);
      return false;
    }
    free(data);
  }
  return true;
}

// Judging

/// Quarter of the human's time line at which a time lies
static double
quarter_of(const Piece* const piece, const QfTime time)
{
  const QfBar* const bar    = qf_score_get_bar(piece->score, qf_score_bar_at(piece->score, time));
  const QfTime       within = qf_time_add(bar->offset, qf_time_sub(time, bar->start));

  for (int i = 0; i < piece->n_measures; ++i) {
    if (piece->numbers[i] == bar->number) {
      return piece->starts[i] + 4.0 * qf_time_to_double(within);
    }
  }
  return -1e9;
}

static int
gold_at(const Piece* const piece, const double quarter)
{
  for (int i = 0; i < piece->n_golds; ++i) {
    if (piece->golds[i].start <= quarter + 1e-6 && quarter + 1e-6 < piece->golds[i].end) {
      return i;
    }
  }
  return -1;
}

static void
judge_init(Judge* const           judge,
           const Task* const      task,
           const Piece* const     piece,
           const QfPassage* const passage)
{
  judge->task     = task;
  judge->piece    = piece;
  judge->passage  = passage;
  judge->golds    = (int*)calloc(passage->n_columns + 1, sizeof(int));
  judge->quarters = (float*)calloc(passage->n_columns + 1, sizeof(float));
  for (size_t c = 0; c < passage->n_columns; ++c) {
    const QfSlice* const slice = &passage->slices.slices[passage->columns[c].slice];

    judge->golds[c]    = gold_at(piece, quarter_of(piece, slice->start));
    judge->quarters[c] = (float)(4.0 * qf_time_to_double(qf_time_sub(slice->end, slice->start)));
  }
}

static void
judge_clear(Judge* const judge)
{
  free(judge->golds);
  free(judge->quarters);
}

typedef struct {
  float right; ///< Numeral and key
  float resolved;
  float root;
  float key;
  float missed; ///< An applied chord of the human's that is not read as such, by its share of time
  float false_alarm; ///< An applied chord that is none to the human
} Verdict;

static Verdict
compare(const Reading* const  reading,
        const float           length,
        const size_t          key,
        const Identity* const word)
{
  const int  tonic  = ((7 * qf_tonic_of(key)) % 12 + 12) % 12;
  const bool is_key = reading->key == tonic && reading->mode == (int)(key % 2);
  const bool is_chord =
    word && reading->chord.quality == word->quality && reading->chord.inversion == word->inversion;
  const bool is_root = word && reading->chord.root == (word->root + tonic) % 12;
  const int  applied = !word || word->applied < 0 ? -1 : (word->applied + tonic) % 12;

  return (Verdict){
    .right    = is_key && is_chord && reading->chord.degree == word->degree,
    .resolved = is_root && is_chord && reading->chord.step == word->step &&
                reading->chord.points_at == (word->points_at + tonic) % 12,
    .root = is_root,
    .key  = is_key,
    .missed =
      reading->chord.applied >= 0 && reading->chord.applied != applied ? 1.0F / length : 0.0F,
    .false_alarm = applied >= 0 && reading->chord.applied != applied,
  };
}

/// What a wrong reading counts: a missed applied chord whole, however short, the rest by quarters
static float
loss_of(const Verdict v)
{
  static const float missed      = 3.0F;
  static const float false_alarm = 1.0F;

  return 1.0F * (1.0F - v.right) + 0.4F * (1.0F - v.resolved) + 0.3F * (1.0F - v.root) +
         0.3F * (1.0F - v.key) + missed * v.missed + false_alarm * v.false_alarm;
}

static Verdict
judge_column(const Judge* const    judge,
             const size_t          column,
             const size_t          key,
             const Identity* const word)
{
  const Gold* const gold   = &judge->piece->golds[judge->golds[column]];
  const float       length = (float)fmax(0.5, gold->end - gold->start);
  Verdict           best   = compare(&gold->readings[0], length, key, word);

  for (int i = 1; i < gold->n_readings; ++i) {
    const Verdict other = compare(&gold->readings[i], length, key, word);

    best = loss_of(other) < loss_of(best) ? other : best;
  }
  return best;
}

/// Member in the bass when a span begins: the first bass that belongs to the chord
static int
first_member(const Judge* const judge, const QfSpan span, const int root, const QfChordKind kind)
{
  for (size_t c = span.first; c < span.end; ++c) {
    const int up = judge->passage->columns[c].bass - root + 32;

    if (up >= 0 && up < 64 && judge->task->members[kind][up] >= 0) {
      return judge->task->members[kind][up];
    }
  }
  return 0;
}

typedef void (*Visit)(void* data, Verdict verdict, float quarters);

static void
judge_span(const Judge* const        judge,
           const QfVocabulary* const vocabulary,
           const QfSpan              span,
           const Visit               visit,
           void* const               data)
{
  const QfEntry* const entry    = &vocabulary->entries[span.entry];
  const bool           is_known = span.entry != QF_ENTRY_UNKNOWN;
  const int            root     = qf_tonic_of(span.key) + entry->root;
  int                  member   = is_known ? first_member(judge, span, root, entry->kind) : 0;

  for (size_t c = span.first; c < span.end; ++c) {
    const int up = judge->passage->columns[c].bass - root + 32;

    if (is_known && up >= 0 && up < 64 && judge->task->members[entry->kind][up] >= 0) {
      member = judge->task->members[entry->kind][up];
    }

    const Identity* const word =
      is_known ? &judge->task->words[span.key % 2][span.entry][member] : NULL;

    if (judge->golds[c] >= 0) {
      visit(data, judge_column(judge, c, span.key, word), judge->quarters[c]);
    }
  }
}

typedef struct {
  Judge               judge;
  const QfVocabulary* vocabularies;
} Bias;

static void
add_loss(void* const data, const Verdict verdict, const float quarters)
{
  float* const sum = (float*)data;

  *sum += quarters * loss_of(verdict);
}

static float
bias_cost(const void* const data, const QfSpan span)
{
  const Bias* const bias = (const Bias*)data;
  float             loss = 0.0F;

  judge_span(&bias->judge, &bias->vocabularies[span.key % 2], span, add_loss, &loss);
  return bias->judge.scale * loss;
}

// Learning

typedef struct {
  double quarters;
  double right;
  double resolved;
  double root;
  double key;
  double loss;
} Totals;

static void
add_verdict(void* const data, const Verdict v, const float quarters)
{
  Totals* const totals = (Totals*)data;

  totals->quarters += (double)quarters;
  totals->right += (double)(quarters * v.right);
  totals->resolved += (double)(quarters * v.resolved);
  totals->root += (double)(quarters * v.root);
  totals->key += (double)(quarters * v.key);
  totals->loss += (double)(quarters * loss_of(v));
}

/// One piece before the learner
typedef struct {
  QfPassage      passage;
  QfVocabulary*  vocabularies;
  size_t*        pins;
  QfSearchGivens givens;
  Bias           bias;
} Desk;

static bool
desk_init(Desk* const        desk,
          const Task* const  task,
          const Piece* const piece,
          const float* const weights)
{
  const QfKey sign = qf_score_signature_at(piece->score, QF_TIME_ZERO);

  memset(desk, 0, sizeof(*desk));
  desk->vocabularies = (QfVocabulary*)calloc(2, sizeof(QfVocabulary));
  if (!desk->vocabularies || qf_passage_init(&desk->passage, piece->score, weights, false)) {
    return false;
  }
  for (int mode = 0; mode < 2; ++mode) {
    qf_vocabulary_init(&desk->vocabularies[mode], (QfMode)mode);
    qf_vocabulary_weigh(&desk->vocabularies[mode], weights, desk->passage.texture);
  }

  const size_t n = desk->passage.n_columns + 1;

  desk->pins = (size_t*)calloc(n, sizeof(size_t));
  for (size_t c = 0; c < n; ++c) {
    desk->pins[c] = QF_N_KEYS;
  }
  desk->givens = (QfSearchGivens){.vocabularies   = desk->vocabularies,
                                  .home           = QF_N_KEYS,
                                  .signature      = qf_key_index(sign),
                                  .may_modulate   = true,
                                  .pinned_keys    = desk->pins,
                                  .pinned_entries = desk->pins};
  qf_passage_set_home(&desk->passage, QF_N_KEYS);
  qf_passage_weigh_keys(&desk->passage, NULL, (QfSameColumns){0, 0});
  judge_init(&desk->bias.judge, task, piece, &desk->passage);
  desk->bias.vocabularies = desk->vocabularies;
  return true;
}

static void
desk_clear(Desk* const desk)
{
  judge_clear(&desk->bias.judge);
  qf_passage_clear(&desk->passage);
  free(desk->pins);
  free(desk->vocabularies);
}

/// Search with the loss added so many times, and count the features of what is found
static double
decode(Desk* const desk, const float scale, float* const counts, Totals* const totals)
{
  const QfBias bias  = {bias_cost, &desk->bias};
  QfPath       path  = {0};
  QfTally      tally = {desk->passage.weights, counts, 0.0F};
  Totals       own   = {0};

  desk->bias.judge.scale = scale;
  desk->givens.bias      = scale == 0.0F ? NULL : &bias;
  if (qf_search(&desk->passage, &desk->givens, &path)) {
    return 0.0;
  }
  qf_tally_path(&tally, &desk->passage, &desk->givens, path.spans, path.n_spans);
  for (size_t i = 0; i < path.n_spans; ++i) {
    judge_span(&desk->bias.judge, &desk->vocabularies[path.spans[i].key % 2], path.spans[i],
               add_verdict, &own);
  }
  qf_path_clear(&path);
  totals->quarters += own.quarters;
  totals->right += own.right;
  totals->resolved += own.resolved;
  totals->root += own.root;
  totals->key += own.key;
  totals->loss += own.loss;
  return (double)tally.cost;
}

static void
update(Learner* const       learner,
       const Options* const options,
       const float* const   hope,
       const float* const   fear,
       const float          weight)
{
  learner->n_steps += 1.0;
  for (size_t i = 0; i < QF_N_FEATURES; ++i) {
    const float gradient =
      weight * (hope[i] - fear[i]) + options->decay * weight * learner->weights[i];

    if (gradient == 0.0F) {
      continue;
    }
    learner->squares[i] += gradient * gradient;

    const float step = options->rate * gradient / sqrtf(1.0F + learner->squares[i]);

    learner->weights[i] -= step;
    learner->lagged[i] -= (double)step * learner->n_steps;
  }
}

static float
average(const Learner* const learner, const size_t i)
{
  return learner->weights[i] - (float)(learner->lagged[i] / (learner->n_steps + 1.0));
}

/// The set that a piece is of
static Set
set_of(const Piece* const piece)
{
  return !strcmp(piece->kind, "chains")     ? SET_CHAINS
         : strstr(piece->kind, "textbooks") ? SET_TEXTBOOKS
                                            : SET_CHORALES;
}

/// How much a piece counts
static float
weight_of(const Piece* const piece, const Options* const options)
{
  switch (set_of(piece)) {
    case SET_TEXTBOOKS:
      return options->textbooks;
    case SET_CHAINS:
      return options->chains;
    default:
      return 1.0F;
  }
}

static void
learn_piece(Learner* const       learner,
            const Options* const options,
            const Task* const    task,
            const Piece* const   piece,
            Totals* const        totals,
            Totals* const        hopes)
{
  float* const hope = (float*)calloc(2 * (size_t)QF_N_FEATURES, sizeof(float));
  float* const fear = hope + QF_N_FEATURES;
  Desk         desk;
  const float  weight = weight_of(piece, options);

  if (hope && desk_init(&desk, task, piece, learner->weights)) {
    decode(&desk, options->hope, hope, hopes);
    decode(&desk, -options->margin, fear, totals);
    update(learner, options, hope, fear, weight);
    desk_clear(&desk);
  }
  free(hope);
}

/// Lean towards tonicization: more applied chords are found for a few keys missed
static void
lean(float* const weights, const float cost)
{
  const size_t n = (QF_F_CHANGE_END + 1 - QF_F_CHANGE) / QF_N_TEXTURES;

  for (size_t i = 0; i < n; ++i) {
    weights[QF_F_CHANGE + i] += cost;
  }
}

static void
print_totals(const char* const name, const Totals* const t)
{
  printf("%-22s quarters %7.1f key %.3f root %.3f rom+k %.3f resolv %.3f loss %.3f\n", name,
         t->quarters, t->key / t->quarters, t->root / t->quarters, t->right / t->quarters,
         t->resolved / t->quarters, t->loss / t->quarters);
  fflush(stdout);
}

static void
evaluate(const Task* const task, const Options* const options, const float* const weights)
{
  Totals totals[N_SETS] = {{0}};

  for (int i = 0; i < task->n_pieces; ++i) {
    Desk               desk;
    const Piece* const piece = &task->pieces[i];

    if ((options->fold < 0 || piece->fold == options->fold) &&
        desk_init(&desk, task, piece, weights)) {
      decode(&desk, 0.0F, NULL, &totals[set_of(piece)]);
      desk_clear(&desk);
    }
  }
  print_totals("  held out, chorales", &totals[SET_CHORALES]);
  print_totals("  held out, textbooks", &totals[SET_TEXTBOOKS]);
  print_totals("  held out, chains", &totals[SET_CHAINS]);
}

static void
shuffle(int* const order, const int n, uint32_t* const seed)
{
  for (int i = n - 1; i > 0; --i) {
    *seed = *seed * 1664525U + 1013904223U;

    const int j    = (int)((*seed >> 8U) % (uint32_t)(i + 1));
    const int kept = order[i];

    order[i] = order[j];
    order[j] = kept;
  }
}

static void
learn(Learner* const learner, const Options* const options, const Task* const task)
{
  int      order[MAX_PIECES];
  uint32_t seed = 20261125;

  for (int i = 0; i < task->n_pieces; ++i) {
    order[i] = i;
  }
  for (int e = 0; e < options->epochs; ++e) {
    Totals fears = {0};
    Totals hopes = {0};

    shuffle(order, task->n_pieces, &seed);
    for (int i = 0; i < task->n_pieces; ++i) {
      const Piece* const piece = &task->pieces[order[i]];

      if (piece->fold != options->fold) {
        learn_piece(learner, options, task, piece, &fears, &hopes);
      }
    }
    printf("epoch %d\n", e + 1);
    print_totals("  hoped for", &hopes);
    print_totals("  feared", &fears);
    if (options->fold >= 0) {
      float* const mean = (float*)calloc(QF_N_FEATURES, sizeof(float));

      for (size_t i = 0; i < QF_N_FEATURES; ++i) {
        mean[i] = average(learner, i);
      }
      evaluate(task, options, mean);
      free(mean);
    }
  }
}

// Labelling

static void
label_piece(const Piece* const piece, const float* const weights, const char* const folder)
{
  const QfLabelOptions options = {.may_modulate = true};
  char                 path[2 * PATH_SIZE];
  QfLabels*            labels = NULL;
  char*                text   = NULL;

  snprintf(path, sizeof(path), "%s/%s/%s.rntxt", folder, piece->kind, piece->name);
  if (!qf_labels_weighed(piece->score, options, weights, &labels, NULL) &&
      !qf_romantext_write(piece->score, labels, &text, NULL)) {
    FILE* const file = fopen(path, "w");

    if (file) {
      fputs(text, file);
      fclose(file);
    } else {
      fprintf(stderr, "cannot write %s\n", path);
    }
  }
  free(text);
  qf_labels_free(labels);
}

static void
print_words(void)
{
  QfVocabulary* const vocabulary = (QfVocabulary*)calloc(1, sizeof(QfVocabulary));

  for (int mode = 0; mode < 2; ++mode) {
    qf_vocabulary_init(vocabulary, (QfMode)mode);
    for (size_t e = 1; e < vocabulary->n_entries; ++e) {
      for (int i = 0; i < qf_chord_kind_size(vocabulary->entries[e].kind) && i < 4; ++i) {
        QfNumeral numeral = vocabulary->entries[e].numeral;
        char      text[QF_NUMERAL_TEXT_SIZE];

        numeral.inversion = (int8_t)i;
        qf_numeral_write(&numeral, (QfMode)mode, text, sizeof(text));
        printf("%d %zu %d %s\n", mode, e, i, text);
      }
    }
  }
  free(vocabulary);
}

static bool
read_options(const int argc, char** const argv, Options* const options)
{
  for (int i = 1; i + 1 < argc; i += 2) {
    const char* const name  = argv[i];
    const char* const value = argv[i + 1];

    if (!strcmp(name, "--task")) {
      options->task = value;
    } else if (!strcmp(name, "--weights")) {
      options->weights = value;
    } else if (!strcmp(name, "--out")) {
      options->out = value;
    } else if (!strcmp(name, "--label")) {
      options->folder = value;
    } else if (!strcmp(name, "--fold")) {
      options->fold = atoi(value);
    } else if (!strcmp(name, "--epochs")) {
      options->epochs = atoi(value);
    } else if (!strcmp(name, "--rate")) {
      options->rate = strtof(value, NULL);
    } else if (!strcmp(name, "--decay")) {
      options->decay = strtof(value, NULL);
    } else if (!strcmp(name, "--margin")) {
      options->margin = strtof(value, NULL);
    } else if (!strcmp(name, "--hope")) {
      options->hope = strtof(value, NULL);
    } else if (!strcmp(name, "--chains")) {
      options->chains = strtof(value, NULL);
    } else if (!strcmp(name, "--lean")) {
      options->lean = strtof(value, NULL);
    } else if (!strcmp(name, "--textbooks")) {
      options->textbooks = strtof(value, NULL);
    } else {
      return false;
    }
  }
  return options->task != NULL;
}

static void
load(const char* const path, float* const weights)
{
  FILE* const file = fopen(path, "rb");

  if (!file || fread(weights, sizeof(float), QF_N_FEATURES, file) != QF_N_FEATURES) {
    fprintf(stderr, "cannot read %s\n", path);
  }
  if (file) {
    fclose(file);
  }
}

static void
save(const char* const path, const float* const weights)
{
  FILE* const file = fopen(path, "wb");

  if (!file || fwrite(weights, sizeof(float), QF_N_FEATURES, file) != QF_N_FEATURES) {
    fprintf(stderr, "cannot write %s\n", path);
  }
  if (file) {
    fclose(file);
  }
}

int
main(const int argc, char** const argv)
{
  Task* const    task    = (Task*)calloc(1, sizeof(Task));
  Learner* const learner = (Learner*)calloc(1, sizeof(Learner));
  float* const   weights = (float*)calloc(QF_N_FEATURES, sizeof(float));
  Options        options = {.fold = -1, .rate = 0.1F, .margin = 1.0F, .hope = 4.0F};

  options.lean      = 0.4F;
  options.textbooks = 3.0F;
  options.chains    = 0.3F;
  if (argc == 2 && !strcmp(argv[1], "--words")) {
    print_words();
    return 0;
  }
  if (!task || !learner || !weights || !read_options(argc, argv, &options) ||
      !read_task(options.task, task)) {
    fputs("usage: learn --words\n"
          "       learn --task TASK [--fold N] [--epochs N] [--out FILE] [--label FOLDER]\n",
          stderr);
    return 2;
  }

  memcpy(weights, qf_learned_weights(), QF_N_FEATURES * sizeof(float));
  if (options.weights) {
    load(options.weights, weights);
  }
  if (options.epochs) {
    learn(learner, &options, task);
    for (size_t i = 0; i < QF_N_FEATURES; ++i) {
      weights[i] = average(learner, i);
    }
    lean(weights, options.lean);
  } else {
    evaluate(task, &options, weights);
  }
  if (options.out) {
    save(options.out, weights);
  }
  for (int i = 0; options.folder && i < task->n_pieces; ++i) {
    if (options.fold < 0 || task->pieces[i].fold == options.fold) {
      label_piece(&task->pieces[i], weights, options.folder);
    }
  }
  return 0;
}
