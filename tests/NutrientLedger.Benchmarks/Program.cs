return 1;
