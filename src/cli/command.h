/* The command table: one row a command. */
#ifndef OWL_CLI_COMMAND_H
#define OWL_CLI_COMMAND_H

/* Exit statuses of the program. */
#define OWL_EXIT_WELL 0
#define OWL_EXIT_FAILED 1 /* the machine could not: no room to write, no memory */
#define OWL_EXIT_WRONG 2  /* what the user gave is wrong */

struct owl_command {
    const char *name;
    int (*run)(int count, char **words); /* what follows the command's name; returns the exit status */
    const char *usage, *summary;
};

int owl_command_plan(int count, char **words);
int owl_command_working(int count, char **words);
int owl_command_open(int count, char **words);
int owl_command_pull(int count, char **words);
int owl_command_advise(int count, char **words);
int owl_command_rehearse(int count, char **words);
int owl_command_judge(int count, char **words);
int owl_command_visits(int count, char **words);
int owl_command_health(int count, char **words);
int owl_command_wire(int count, char **words);
int owl_command_shelf(int count, char **words);
int owl_command_light(int count, char **words);
int owl_command_sheet(int count, char **words);
int owl_command_fields(int count, char **words);

/* One line on stderr, `owllight: words`, and OWL_EXIT_WRONG. */
int owl_complain_usage(const char *words, const char *about);

#endif
